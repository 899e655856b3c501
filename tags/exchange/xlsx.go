package exchange

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"trenchcut/tags"
)

// Bounds on what an XLSX file may unpack to: all of it, and one part held in memory.
const (
	maxUnpacked = 64 << 20
	maxPart     = 16 << 20
)

// readXLSX reads the worksheet that has most headings of a play sheet in one row, the first of
// several; a hidden one only where no other holds anything.
func readXLSX(file string, data []byte) (s *Sheet, faults tags.Faults) {
	s = &Sheet{File: file}
	wrong := func(err error) (*Sheet, tags.Faults) {
		faults.Add(tags.Pos{File: file}, "not an XLSX file that can be read: %v", err)
		return s, faults
	}
	// A file may be broken in more ways than the library looks for.
	defer func() {
		if p := recover(); p != nil {
			faults = nil
			faults.Add(tags.Pos{File: file}, "not an XLSX file that can be read: %v", p)
		}
	}()
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxPart})
	if err != nil {
		return wrong(err)
	}
	defer func() {
		if err := book.Close(); err != nil {
			faults.Add(tags.Pos{File: file}, "close the sheet: %v", err)
		}
	}()
	best, most := -1, -1
	sheets := worksheets(book)
	for i, w := range sheets {
		known := (&Sheet{Rows: w.cells}).headings()
		if len(w.cells) > 0 && known > most && (best < 0 || !w.hidden) || best >= 0 && sheets[best].hidden && len(w.cells) > 0 && !w.hidden {
			best, most = i, known
		}
	}
	for i, w := range sheets {
		if i != best && len(w.cells) > 0 {
			s.Others = append(s.Others, w.name)
		}
		if best < 0 && w.err != nil {
			faults.Add(tags.Pos{File: file}, "worksheet %q: %v", w.name, w.err)
			return s, faults
		}
	}
	if best < 0 {
		faults.Add(tags.Pos{File: file}, "the sheet is empty")
		return s, faults
	}
	s.Name = sheets[best].name
	raw, err := rows(book, s.Name, true)
	if err != nil {
		return wrong(err)
	}
	s.Rows = cells(book, s.Name, sheets[best].shown, raw)
	if s.merged, err = mergedRows(book, s.Name); err != nil {
		return wrong(err)
	}
	return s, faults
}

// mergedRows is the cells of a worksheet that are merged over several rows.
func mergedRows(book *excelize.File, name string) (all []merged, err error) {
	ranges, err := book.GetMergeCells(name, true)
	if err != nil {
		return nil, err
	}
	for _, m := range ranges {
		column, from, err := excelize.CellNameToCoordinates(m.GetStartAxis())
		if err != nil {
			return nil, err
		}
		_, to, err := excelize.CellNameToCoordinates(m.GetEndAxis())
		if err != nil {
			return nil, err
		}
		if to > from {
			all = append(all, merged{column - 1, from - 1, to - 1})
		}
	}
	return all, nil
}

// worksheet is one of a workbook, as its cells are shown.
type worksheet struct {
	name   string
	hidden bool
	shown  [][]string
	cells  [][]Cell // texts alone
	err    error    // why it cannot be read
}

func worksheets(book *excelize.File) []worksheet {
	var all []worksheet
	for _, name := range book.GetSheetList() {
		w := worksheet{name: name}
		visible, err := book.GetSheetVisible(name)
		w.hidden = err == nil && !visible
		w.shown, w.err = rows(book, name, false)
		for _, row := range w.shown {
			texts := make([]Cell, len(row))
			for i, text := range row {
				texts[i].Text = strings.TrimSpace(text)
			}
			w.cells = append(w.cells, texts)
		}
		all = append(all, w)
	}
	return all
}

var errTooMany = fmt.Errorf("a play sheet has at most %d rows of %d cells", maxRows, maxColumns)

// rows is every row up to the last that holds anything, as the cells are shown, or raw.
func rows(book *excelize.File, name string, raw bool) (all [][]string, err error) {
	reader, err := book.Rows(name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	full := 0
	for row := 0; reader.Next(); row++ {
		cells, err := reader.Columns(excelize.Options{RawCellValue: raw})
		if err != nil {
			return nil, err
		}
		if strings.Join(cells, "") == "" {
			continue // sheets are often formatted far below their last row
		}
		if row >= maxRows || len(cells) > maxColumns {
			return nil, errTooMany
		}
		for len(all) <= row {
			all = append(all, nil)
		}
		all[row] = cells
		full = row + 1
	}
	return all[:full], reader.Error()
}

func cells(book *excelize.File, name string, shown, raw [][]string) [][]Cell {
	dates := map[int]bool{} // by style
	properties, err := book.GetWorkbookProps()
	days1904 := err == nil && properties.Date1904 != nil && *properties.Date1904
	all := make([][]Cell, len(shown))
	for row := range shown {
		all[row] = make([]Cell, len(shown[row]))
		for column, text := range shown[row] {
			c := &all[row][column]
			c.Text = strings.ReplaceAll(text, "\r\n", "\n")
			if errorForm.MatchString(text) && isError(book, name, column, row) {
				c.Wrong = "the cell holds the error " + text
			}
			if row >= len(raw) || column >= len(raw[row]) {
				continue
			}
			if _, err := strconv.ParseFloat(raw[row][column], 64); err != nil {
				continue
			}
			axis, err := excelize.CoordinatesToCellName(column+1, row+1)
			if err != nil {
				continue
			}
			if kind, err := book.GetCellType(name, axis); err != nil || kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber && kind != excelize.CellTypeFormula {
				continue // a number stored as text is text
			}
			c.Number = raw[row][column]
			style, err := book.GetCellStyle(name, axis)
			if err != nil {
				continue
			}
			if _, known := dates[style]; !known {
				dates[style] = isDate(book, style)
			}
			c.Date = dates[style]
			if c.Date {
				c.Text = dayOr(c.Text, c.Number, days1904)
			}
		}
	}
	return all
}

// dayOr is days as a date in the one form that sorts, or shown where they are no whole days.
func dayOr(shown, days string, days1904 bool) string {
	n, err := strconv.ParseFloat(days, 64)
	if err != nil || n != math.Trunc(n) || n < 1 {
		return shown
	}
	day, err := excelize.ExcelDateToTime(n, days1904)
	if err != nil {
		return shown
	}
	return day.Format(time.DateOnly)
}

// errorForm is the errors that a formula may come to.
var errorForm = regexp.MustCompile(`^#(N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)$`)

// isError reports whether a cell, both counted from 0, holds an error and not the text of one.
func isError(book *excelize.File, name string, column, row int) bool {
	axis, err := excelize.CoordinatesToCellName(column+1, row+1)
	if err != nil {
		return false
	}
	kind, err := book.GetCellType(name, axis)
	return err == nil && kind == excelize.CellTypeError
}

// formatLiteral is what in a number format is shown as it stands, and so says nothing.
var formatLiteral = regexp.MustCompile(`"[^"]*"|\\.|\[(?:\$[^\]]*|[A-Za-z]{3,}|[<>=][^\]]*)\]|General`)

// isDate reports whether a style shows numbers as dates or times (ECMA-376 part 1, 18.8.30
// lists the formats that go by number).
func isDate(book *excelize.File, style int) bool {
	format, err := book.GetStyle(style)
	if err != nil || format == nil {
		return false
	}
	if format.CustomNumFmt != nil {
		return strings.ContainsAny(strings.ToLower(formatLiteral.ReplaceAllString(*format.CustomNumFmt, "")), "ymdhs")
	}
	n := format.NumFmt
	return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58
}

// WriteXLSX writes a workbook of one sheet, its heading bold and kept in sight.
func (t Table) WriteXLSX(w io.Writer) (err error) {
	book := excelize.NewFile()
	defer func() { err = errors.Join(err, book.Close()) }()
	name := cmp.Or(t.Name, "Plays")
	if err := book.SetSheetName(book.GetSheetName(0), name); err != nil {
		return fmt.Errorf("write XLSX: %w", err)
	}
	out, err := book.NewStreamWriter(name)
	if err != nil {
		return fmt.Errorf("write XLSX: %w", err)
	}
	bold, err := book.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return fmt.Errorf("write XLSX: %w", err)
	}
	err = out.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"})
	heading := make([]any, len(t.Heading))
	for i, h := range t.Heading {
		heading[i] = excelize.Cell{StyleID: bold, Value: h}
	}
	err = errors.Join(err, out.SetRow("A1", heading))
	for i, row := range t.Rows {
		err = errors.Join(err, out.SetRow("A"+strconv.Itoa(i+2), row))
	}
	if err = errors.Join(err, out.Flush()); err != nil {
		return fmt.Errorf("write XLSX: %w", err)
	}
	if _, err = book.WriteTo(w); err != nil {
		return fmt.Errorf("write XLSX: %w", err)
	}
	return nil
}
