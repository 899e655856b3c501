package terminal

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Table prints rows under the titles, where there are any, each column as wide as its widest cell. A row of one cell
// stands over those that follow. Where the table is wider than width cells of a terminal,
// columns stand closer, then those that may be are folded or cut, the widest first.
func Table(w io.Writer, width int, columns []report.Heading, rows [][]string) error {
	for _, row := range rows {
		for i := range row {
			if len(row) == len(columns) {
				row[i] = OneLine(row[i])
			}
		}
	}
	columns, rows = withoutSpare(width, columns, rows)
	widths, gap := columnWidths(width, columns, rows)
	t := tableWriter{w: w, out: bufio.NewWriter(w), columns: columns, widths: widths, gap: gap, colours: coloured(w), lines: make([][]string, len(columns))}
	titles := make([]string, len(columns))
	for i, c := range columns {
		titles[i] = c.Title
	}
	if strings.Join(titles, "") != "" {
		t.row(titles, true)
	}
	for _, row := range rows {
		if len(row) == len(columns) {
			t.row(row, false)
			continue
		}
		for _, part := range fold(tags.Printable(row[0]), width) {
			t.put(append(t.line[:0], part...), 0, 0, win)
		}
	}
	if t.err == nil {
		t.err = t.out.Flush()
	}
	return t.err
}

// tableWriter writes the rows of a table until something fails, and keeps the failure.
type tableWriter struct {
	w       io.Writer
	out     *bufio.Writer // to w
	columns []report.Heading
	widths  []int
	gap     string
	colours bool
	lines   [][]string // of each cell of a row
	line    []byte
	err     error
}

// row writes the titles, or a row of a cell a column.
func (t *tableWriter) row(row []string, titles bool) {
	most := 1
	for i, c := range t.columns {
		t.lines[i] = append(t.lines[i][:0], row[i])
		if c.Fold && Cells(row[i]) > t.widths[i] {
			t.lines[i] = fold(row[i], t.widths[i])
		}
		most = max(most, len(t.lines[i]))
	}
	for at := range most {
		t.line = t.line[:0]
		from, to := 0, 0 // where on the line a cell stands that tells of a win
		for i, c := range t.columns {
			if i > 0 {
				t.line = append(t.line, t.gap...)
			}
			text := ""
			if at < len(t.lines[i]) {
				text = t.lines[i][at]
			}
			start := len(t.line)
			t.line = appendFitted(t.line, text, t.widths[i], c.Right)
			if !titles && text != "" && slices.Contains(c.Wins, row[i]) {
				from, to = start, len(t.line)
			}
		}
		if titles {
			t.put(t.line, 0, len(t.line), heading)
		} else {
			t.put(t.line, from, to, win)
		}
	}
}

// put writes a line, of which the part from a place to another is in a style.
func (t *tableWriter) put(line []byte, from, to int, s style) {
	if t.err != nil {
		return
	}
	if part := bytes.TrimRight(line[from:to], " "); t.colours && len(part) > 0 {
		_, _ = t.out.Write(line[:from])
		_ = t.out.Flush() // what fails fails again
		if t.err = styled(t.w, s, string(part)); t.err != nil {
			return
		}
		line = line[from+len(part):]
	}
	_, t.err = t.out.Write(append(bytes.TrimRight(line, " "), '\n'))
}

// columnWidths is how wide each column is set, and what stands between two.
func columnWidths(width int, columns []report.Heading, rows [][]string) (widths []int, gap string) {
	total := 0
	for i := range columns {
		widths = append(widths, naturalWidth(i, columns, rows))
		total += widths[i]
	}
	gap = "  "
	if total+len(gap)*(len(columns)-1) > width {
		gap = " "
	}
	total += len(gap) * (len(columns) - 1)
	// A column that folds is first made no narrower than what belongs together in it.
	together := func(i int) int {
		least := columns[i].Least
		for _, row := range rows {
			if !columns[i].Fold || len(row) != len(columns) {
				continue
			}
			for _, part := range strings.FieldsFunc(row[i], func(r rune) bool { return strings.ContainsRune(ends, r) }) {
				least = max(least, Cells(part)+1)
			}
		}
		return least
	}
	for _, least := range []func(int) int{together, func(i int) int { return columns[i].Least }} {
		narrow := make([]int, len(columns))
		for i := range columns {
			narrow[i] = least(i)
		}
		for ; total > width; total-- {
			widest := -1
			for i, c := range columns {
				if c.Least > 0 && widths[i] > narrow[i] && (widest < 0 || widths[i] > widths[widest]) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			widths[widest]--
		}
	}
	return widths, gap
}

// naturalWidth is the width of the widest cell of a column, its title among them.
func naturalWidth(i int, columns []report.Heading, rows [][]string) int {
	widest := Cells(columns[i].Title)
	for _, row := range rows {
		if len(row) == len(columns) {
			widest = max(widest, Cells(row[i]))
		}
	}
	return widest
}

// OneLine is text as one line with single spaces.
func OneLine(text string) string {
	text = tags.Printable(text)
	if strings.TrimSpace(text) == text && !strings.Contains(text, "  ") && !strings.ContainsFunc(text, otherSpace) {
		return text
	}
	return strings.Join(strings.Fields(text), " ")
}

func otherSpace(r rune) bool { return r != ' ' && unicode.IsSpace(r) }

// withoutSpare leaves out spare columns, one after the other, until the rest can
// be made as narrow as the page.
func withoutSpare(width int, columns []report.Heading, rows [][]string) ([]report.Heading, [][]string) {
	narrowest := len(columns) - 1
	for i, c := range columns {
		natural := naturalWidth(i, columns, rows)
		if c.Least > 0 {
			natural = min(natural, c.Least)
		}
		narrowest += natural
	}
	spare := -1
	for i, c := range columns {
		if c.Spare > 0 && (spare < 0 || c.Spare < columns[spare].Spare) {
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

// fold is text in lines of at most width cells, broken where it may be, or anywhere where
// it is wider by itself. It never breaks within a character, whatever that is made of.
func fold(text string, width int) []string {
	var lines []string
	for {
		end, joined, whole := 0, 0, 0 // bytes: to where it may be broken, within a word, at all
		taken, state := 0, -1
		for at := 0; at < len(text); {
			cluster, _, cells, next := uniseg.FirstGraphemeClusterInString(text[at:], state)
			if taken+cells > width && strings.TrimRight(text[:at]+cluster, " ") == text[:at]+cluster {
				break
			}
			at, taken, state = at+len(cluster), taken+cells, next
			whole = at
			switch {
			case at == len(text), strings.Contains(ends, cluster):
				end = at
			case strings.Contains(joins, cluster):
				joined = at
			}
		}
		if end == 0 {
			end = joined
		}
		if end == 0 {
			end = whole
		}
		if end == 0 { // one character is wider than a line
			cluster, _, _, _ := uniseg.FirstGraphemeClusterInString(text, -1)
			end = len(cluster)
		}
		lines = append(lines, strings.TrimSpace(text[:end]))
		if text = text[end:]; text == "" {
			return lines
		}
	}
}

// appendFitted adds text in exactly width cells to line, cut at the end where it is wider.
func appendFitted(line []byte, text string, width int, right bool) []byte {
	taken := Cells(text)
	if taken > width {
		text = cut(text, width-1) + "…"
		taken = Cells(text)
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

// cut is as much of text as has room in width cells.
func cut(text string, width int) string {
	taken, state := 0, -1
	for at := 0; at < len(text); {
		cluster, _, cells, next := uniseg.FirstGraphemeClusterInString(text[at:], state)
		if taken+cells > width {
			return text[:at]
		}
		at, taken, state = at+len(cluster), taken+cells, next
	}
	return text
}

// Cells is how many cells of a terminal text takes: two for a wide letter, none for a
// mark that stands on another (Unicode Standard Annexes 11 and 29).
func Cells(text string) int {
	for i := range len(text) {
		if text[i] < ' ' || text[i] >= utf8.RuneSelf {
			return uniseg.StringWidth(text)
		}
	}
	return len(text)
}

// PageWidth is how many cells a printed page is wide where no terminal says.
const PageWidth = 80

// Width returns the width of the terminal w, or [PageWidth] where w is no terminal.
func Width(w io.Writer) int { return cmp.Or(WidthOf(w), PageWidth) }

// Paragraphs prints each of texts in lines as wide as w, broken at spaces.
func Paragraphs(w io.Writer, texts ...string) error {
	for _, text := range texts {
		if err := paragraph(w, Width(w), text); err != nil {
			return err
		}
	}
	return nil
}

// paragraph prints text in lines of at most width cells, broken at spaces.
func paragraph(w io.Writer, width int, text string) error {
	var out strings.Builder
	at := 0
	for word := range strings.FieldsSeq(tags.Printable(text)) {
		n := Cells(word)
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
