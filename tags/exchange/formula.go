package exchange

import (
	"encoding/csv"
	"io"
	"regexp"
)

// A spreadsheet takes a CSV cell for a formula where it begins with one of = + - @, with a
// tab or with a line break, after spaces or none, and runs it (OWASP, "CSV Injection"; the
// full-width forms too). An apostrophe before it makes it text. A text that has apostrophes
// before such a beginning gets one more, so that every text comes back as it was.
var (
	formula     = regexp.MustCompile(`^'*[ \p{Zs}]*[\t\r\n=+\-@＝＋－＠]`)
	plainNumber = regexp.MustCompile(`^[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?$`)
)

// harmless is text as a CSV cell that no spreadsheet runs; numbers such as -3 stay numbers.
func harmless(text string) string {
	if formula.MatchString(text) && !plainNumber.MatchString(text) {
		return "'" + text
	}
	return text
}

// meant is the text of which cell is the harmless form.
func meant(cell string) string {
	if cell != "" && cell[0] == '\'' && formula.MatchString(cell) {
		return cell[1:]
	}
	return cell
}

// CSVWriter writes RFC 4180, but for lines that end in LF, with no cell that a spreadsheet
// would run as a formula. [readSheet] takes the cells back as they were.
type CSVWriter struct{ out *csv.Writer }

// NewCSVWriter returns a CSVWriter that writes to w.
func NewCSVWriter(w io.Writer) CSVWriter { return CSVWriter{csv.NewWriter(w)} }

// Write writes one row. Like Flush it may fail later; see Error.
func (w CSVWriter) Write(row []string) error {
	cells := make([]string, len(row))
	for i, text := range row {
		cells[i] = harmless(text)
	}
	return w.out.Write(cells)
}

// Flush writes what is buffered.
func (w CSVWriter) Flush() { w.out.Flush() }

// Error is the first error of a Write or Flush.
func (w CSVWriter) Error() error { return w.out.Error() }
