package main

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
)

// column is one column of a table.
type column struct {
	title string
	right bool // numbers stand to the right
	least int  // how narrow it may be made; 0 where it may not
	fold  bool // what is wider stands on more lines, rather than being cut
	spare int  // it may be left out where the others cannot be made narrow enough, 1 before 2
}

// printTable prints rows under the titles, each column as wide as its widest cell. A row
// of one cell is a heading over those that follow. What is wider than width characters is
// set closer, then columns that may be are folded or cut, the widest first.
func printTable(w io.Writer, width int, columns []column, rows [][]string) error {
	for _, row := range rows {
		for i := range row {
			if len(row) == len(columns) {
				row[i] = oneLine(row[i])
			}
		}
	}
	columns, rows = withoutSpare(width, columns, rows)
	widths := make([]int, len(columns))
	total := 0
	for i, c := range columns {
		widths[i] = textWidth(c.title)
		for _, row := range rows {
			if len(row) == len(columns) {
				widths[i] = max(widths[i], textWidth(row[i]))
			}
		}
		total += widths[i]
	}
	gap := "  "
	if total+len(gap)*(len(columns)-1) > width {
		gap = " "
	}
	total += len(gap) * (len(columns) - 1)
	together := func(i int) int {
		least := columns[i].least
		if columns[i].fold {
			for _, row := range rows {
				if len(row) == len(columns) {
					for _, part := range strings.FieldsFunc(row[i], func(r rune) bool { return strings.ContainsRune(ends, r) }) {
						least = max(least, textWidth(part)+1)
					}
				}
			}
		}
		return least
	}
	// A column that folds is first made no narrower than what belongs together in it.
	for _, least := range []func(int) int{together, func(i int) int { return columns[i].least }} {
		narrow := make([]int, len(columns))
		for i := range columns {
			narrow[i] = least(i)
		}
		for ; total > width; total-- {
			widest := -1
			for i, c := range columns {
				if c.least > 0 && widths[i] > narrow[i] && (widest < 0 || widths[i] > widths[widest]) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			widths[widest]--
		}
	}
	titles := make([]string, len(columns))
	for i, c := range columns {
		titles[i] = c.title
	}
	out := bufio.NewWriter(w)
	put := func(line []byte) { _, _ = out.Write(append(line, '\n')) } // what fails is Flush's to say
	folds := make([][]string, len(columns))
	var line []byte
	for n := range len(rows) + 1 {
		row := titles
		if n > 0 {
			row = rows[n-1]
		}
		if len(row) != len(columns) {
			put(append(line[:0], printable(row[0])...))
			continue
		}
		lines := 1
		for i, c := range columns {
			folds[i] = append(folds[i][:0], row[i])
			if c.fold && textWidth(row[i]) > widths[i] {
				folds[i] = fold(row[i], widths[i])
			}
			lines = max(lines, len(folds[i]))
		}
		for at := range lines {
			line = line[:0]
			for i, c := range columns {
				if i > 0 {
					line = append(line, gap...)
				}
				text := ""
				if at < len(folds[i]) {
					text = folds[i][at]
				}
				line = appendFitted(line, text, widths[i], c.right)
			}
			put(bytes.TrimRight(line, " "))
		}
	}
	return out.Flush()
}

// oneLine is text as one line with single spaces.
func oneLine(text string) string {
	text = printable(text)
	if strings.TrimSpace(text) == text && !strings.Contains(text, "  ") && !strings.ContainsFunc(text, otherSpace) {
		return text
	}
	return strings.Join(strings.Fields(text), " ")
}

func otherSpace(r rune) bool { return r != ' ' && unicode.IsSpace(r) }

// withoutSpare leaves out spare columns, one after the other, until the rest can
// be made as narrow as the page.
func withoutSpare(width int, columns []column, rows [][]string) ([]column, [][]string) {
	narrowest := len(columns) - 1
	for i, c := range columns {
		natural := textWidth(c.title)
		for _, row := range rows {
			if len(row) == len(columns) {
				natural = max(natural, textWidth(row[i]))
			}
		}
		if c.least > 0 {
			natural = min(natural, c.least)
		}
		narrowest += natural
	}
	spare := -1
	for i, c := range columns {
		if c.spare > 0 && (spare < 0 || c.spare < columns[spare].spare) {
			spare = i
		}
	}
	if narrowest <= width || spare < 0 {
		return columns, rows
	}
	fewer := make([][]string, len(rows))
	for i, row := range rows {
		fewer[i] = row
		if len(row) == len(columns) {
			fewer[i] = slices.Delete(slices.Clone(row), spare, spare+1)
		}
	}
	return withoutSpare(width, slices.Delete(slices.Clone(columns), spare, spare+1), fewer)
}

// Where text may be broken: rather after what ends a part than within a hyphened word.
const (
	ends  = " >,"
	joins = "-/"
)

// fold is text in lines of at most width characters, broken where it may be, or anywhere
// where it is wider by itself.
func fold(text string, width int) []string {
	var lines []string
	for rest := []rune(text); ; {
		end, joined := 0, 0
		for i := range rest {
			if textWidth(strings.TrimRight(string(rest[:i+1]), " ")) > width {
				break
			}
			switch {
			case i+1 == len(rest), strings.ContainsRune(ends, rest[i]):
				end = i + 1
			case strings.ContainsRune(joins, rest[i]):
				joined = i + 1
			}
		}
		if end == 0 {
			end = joined
		}
		if end == 0 {
			end = min(max(width, 1), len(rest))
		}
		lines = append(lines, strings.TrimSpace(string(rest[:end])))
		if rest = rest[end:]; len(rest) == 0 {
			return lines
		}
	}
}

// appendFitted adds text in exactly width characters to line.
func appendFitted(line []byte, text string, width int, right bool) []byte {
	taken := textWidth(text)
	if taken > width {
		runes := []rune(text)
		for textWidth(string(runes)) >= width && len(runes) > 0 {
			runes = runes[:len(runes)-1]
		}
		text = string(runes) + "…"
		taken = textWidth(text)
	}
	if !right {
		line = append(line, text...)
	}
	for range width - taken {
		line = append(line, ' ')
	}
	if right {
		line = append(line, text...)
	}
	return line
}

// firstMark is the first of the combining marks.
const firstMark = 0x300

// textWidth is how many characters text takes in a line; combining marks take none.
func textWidth(text string) int {
	n := 0
	for _, r := range text {
		if r < firstMark || !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

// pageWidth is how many characters a printed page is wide where no terminal says.
const pageWidth = 80

// outWidth is the width of the terminal that w is, or of a page.
func outWidth(w io.Writer) int { return cmp.Or(widthOf(w), pageWidth) }

// printWrapped prints text in lines of at most width characters, broken at spaces.
func printWrapped(w io.Writer, width int, text string) error {
	var out strings.Builder
	at := 0
	for _, word := range strings.Fields(printable(text)) {
		n := textWidth(word)
		switch {
		case at == 0:
		case at+1+n > width:
			out.WriteString("\n")
			at = 0
		default:
			out.WriteString(" ")
			at++
		}
		out.WriteString(word)
		at += n
	}
	_, err := fmt.Fprintln(w, out.String())
	return err
}
