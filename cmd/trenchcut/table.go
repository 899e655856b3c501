package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode"

	"golang.org/x/term"
)

// column is one column of a table.
type column struct {
	title string
	right bool // numbers stand to the right
	least int  // how narrow it may be made; 0 where it may not
}

// printTable prints rows under the titles, each column as wide as its widest cell. A row
// of one cell is a heading over those that follow. What is wider than width characters is
// set closer, then columns that may be are cut, the widest first.
func printTable(w io.Writer, width int, columns []column, rows [][]string) error {
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
	for ; total > width; total-- {
		widest := -1
		for i, c := range columns {
			if c.least > 0 && widths[i] > c.least && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
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
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = fitted(row[i], widths[i], c.right)
		}
		out.WriteString(strings.TrimRight(strings.Join(cells, gap), " ") + "\n")
	}
	_, err := io.WriteString(w, out.String())
	return err
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
