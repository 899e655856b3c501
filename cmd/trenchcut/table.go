package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/term"
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
	columns, rows = withoutSpare(width, columns, rows)
	widths := make([]int, len(columns))
	total := 0
	for i, c := range columns {
		widths[i] = textWidth(c.title)
		for _, row := range rows {
			if len(row) == len(columns) {
				row[i] = strings.Join(strings.Fields(printable(row[i])), " ")
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
	var out strings.Builder
	for _, row := range append([][]string{titles}, rows...) {
		if len(row) != len(columns) {
			out.WriteString(printable(row[0]) + "\n")
			continue
		}
		folds := make([][]string, len(columns))
		lines := 1
		for i, c := range columns {
			folds[i] = []string{row[i]}
			if c.fold {
				folds[i] = fold(row[i], widths[i])
			}
			lines = max(lines, len(folds[i]))
		}
		for line := range lines {
			cells := make([]string, len(columns))
			for i, c := range columns {
				text := ""
				if line < len(folds[i]) {
					text = folds[i][line]
				}
				cells[i] = fitted(text, widths[i], c.right)
			}
			out.WriteString(strings.TrimRight(strings.Join(cells, gap), " ") + "\n")
		}
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// withoutSpare leaves out spare columns, one after the other, until the rest can
// be made as narrow as the page.
func withoutSpare(width int, columns []column, rows [][]string) ([]column, [][]string) {
	narrowest := len(columns) - 1
	for i, c := range columns {
		natural := textWidth(c.title)
		for _, row := range rows {
			if len(row) == len(columns) {
				natural = max(natural, textWidth(strings.Join(strings.Fields(printable(row[i])), " ")))
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

// fitted is text in exactly width characters.
func fitted(text string, width int, right bool) string {
	if textWidth(text) > width {
		runes := []rune(text)
		for textWidth(string(runes)) >= width && len(runes) > 0 {
			runes = runes[:len(runes)-1]
		}
		text = string(runes) + "…"
	}
	pad := strings.Repeat(" ", width-textWidth(text))
	if right {
		return pad + text
	}
	return text + pad
}

// textWidth is how many characters text takes in a line; combining marks take none.
func textWidth(text string) int {
	n := 0
	for _, r := range text {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

// pageWidth is how many characters a printed page is wide where no terminal says.
const pageWidth = 80

// outWidth is the width of the terminal that w is, or of a page.
func outWidth(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if width, _, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
			return width
		}
	}
	return pageWidth
}

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
