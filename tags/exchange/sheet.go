// Package exchange brings play sheets in and takes plays and reps out, in forms that
// other programs read: CSV, XLSX, JSON Lines, WebVTT and OpenTimelineIO.
package exchange

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Sheet is a table of cells as somebody keeps it: no row or column means anything yet.
type Sheet struct {
	File   string
	Name   string   // of the worksheet in a workbook
	Others []string // further worksheets that hold something, which are not read
	merged []merged
	// Windows1252 says that the text is not UTF-8 and was taken for Windows-1252.
	Windows1252 bool
	Rows        [][]Cell
}

// merged is cells of one column, from a row to one further down, that a workbook shows as one.
type merged struct{ column, from, to int }

// fillMerged gives merged cells below a row what the first of them holds: the quarter of its
// plays, the play of its reps.
func (s *Sheet) fillMerged(heading int) {
	for _, m := range s.merged {
		if m.from <= heading || m.from >= len(s.Rows) || m.column >= len(s.Rows[m.from]) {
			continue
		}
		for row := m.from + 1; row <= m.to && row < len(s.Rows); row++ {
			for len(s.Rows[row]) <= m.column {
				s.Rows[row] = append(s.Rows[row], Cell{})
			}
			s.Rows[row][m.column] = s.Rows[m.from][m.column]
		}
	}
}

// Cell is what one cell of a sheet holds.
type Cell struct {
	Text string // as the sheet shows it, without blanks around it
	// Number is what a number cell holds however it is shown; empty for text.
	Number string
	Date   bool // Number is days: a date, a time of day or a length of time
	Wrong  string
}

// MaxSheet and the others are bounds on a sheet, so that none costs much more memory than its size.
const (
	MaxSheet   = 8 << 20 // bytes
	maxRows    = 12_000  // a game may have 9999 plays
	maxColumns = 256
	maxCells   = 300_000 // that hold something
	maxText    = 32_767  // characters in a cell, which is what a spreadsheet may hold
)

// readSheet reads a sheet from the bytes of a file, whose name tells CSV from XLSX. In a
// fault of a sheet the line is the row and the column the cell, both from 1.
func readSheet(file string, data []byte) (*Sheet, tags.Faults) {
	var s *Sheet
	var faults tags.Faults
	switch {
	case len(data) > MaxSheet:
		faults.Add(tags.Pos{File: file}, "the sheet is larger than %d MB", MaxSheet>>20)
	case strings.EqualFold(filepath.Ext(file), ".xlsx"):
		s, faults = readXLSX(file, data)
	default:
		s, faults = readCSV(file, data)
	}
	if faults.Err() == nil {
		faults = append(faults, s.bounded()...)
	}
	return s, faults
}

// at is the place of a cell, both counted from 0.
func (s *Sheet) at(row, column int) tags.Pos {
	return tags.Pos{File: s.File, Line: row + 1, Column: column + 1}
}

// bounded trims the cells and finds what no play sheet holds.
func (s *Sheet) bounded() tags.Faults {
	var faults tags.Faults
	full := 0
	for row, cells := range s.Rows {
		if len(cells) > maxColumns {
			faults.Add(s.at(row, maxColumns), "more than %d columns", maxColumns)
			return faults
		}
		for column := range cells {
			c := &cells[column]
			c.Text = inCell(c.Text)
			if c.Text != "" {
				full++
			}
			if full > maxCells {
				faults.Add(s.at(row, column), "more than %d cells that hold something", maxCells)
				return faults
			}
		}
	}
	return faults
}

// inCell returns text as it is read back from a cell that holds it.
func inCell(text string) string {
	return strings.TrimSpace(unseen.Replace(strings.ReplaceAll(text, "\r\n", "\n")))
}

// unseen makes plain what looks like a space, a minus or nothing at all.
var unseen = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2007", " ", "\u2212", "-", "\u200b", "", "\u2060", "")

// wrong says why a cell cannot be read, whatever it should hold; empty where it can.
func (c Cell) wrong() string {
	switch {
	case len(c.Text) > maxText:
		return fmt.Sprintf("the cell holds more than %d characters", maxText)
	case c.Wrong != "":
		return c.Wrong
	case strings.IndexFunc(c.Text, unprintable) >= 0:
		return fmt.Sprintf("the cell holds a character that is no text: %q", short(c.Text))
	default:
		return ""
	}
}

func unprintable(r rune) bool {
	return r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r == '\ufffd' || r == '\ufeff'
}

// short is the beginning of a text on one line, for messages.
func short(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if runes := []rune(text); len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return text
}

// blank reports whether a row says nothing.
func blank(row []Cell) bool {
	for _, c := range row {
		if c.Text != "" {
			return false
		}
	}
	return true
}

// totals begins a row of sums, as somebody writes it below a sheet.
var totals = strings.Fields("total totals sum sums average averages avg mean summe gesamt durchschnitt schnitt")

// isTotals reports whether a row holds sums of those above it: its first cell says so, or where
// rows have numbers begins with a word that does, such as "Total plays".
func isTotals(row []Cell, numbered bool) bool {
	i := slices.IndexFunc(row, func(c Cell) bool { return c.Text != "" })
	if i < 0 {
		return false
	}
	first := row[i].Text
	if words := strings.Fields(first); numbered && len(words) > 0 {
		first = words[0]
	}
	return slices.Contains(totals, flatten(first))
}

// Table is a heading and rows, as they are written out; a cell is a string, an int or a
// float64.
type Table struct {
	Name    string // of the worksheet in a workbook; empty is Plays
	Heading []string
	Rows    [][]any
}

func (t Table) cells(row int) []string {
	cells := make([]string, len(t.Rows[row]))
	for i, v := range t.Rows[row] {
		if v != nil {
			cells[i] = fmt.Sprint(v)
		}
	}
	return cells
}
