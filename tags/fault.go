package tags

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Pos is a place in a file; Line and Column count from 1, Column in characters.
// The zero Pos is nowhere; Line 0 is the file as a whole.
type Pos struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

func (p Pos) String() string {
	switch {
	case p.File == "":
		return ""
	case p.Line == 0:
		return p.File
	default:
		return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
	}
}

// Fault is one thing wrong in a file: what it is, and a hint where one helps.
type Fault struct {
	Pos
	What    string `json:"what"`    // "unknown move \"spinn\""
	Hint    string `json:"hint"`    // "did you mean \"spin\"?"
	Warning bool   `json:"warning"` // worth a look, but no reason to stop
}

func (f Fault) Error() string {
	s := f.What
	if f.Warning {
		s = "warning: " + s
	}
	if p := f.Pos.String(); p != "" {
		s = p + ": " + s
	}
	if f.Hint != "" {
		s += "; " + f.Hint
	}
	return s
}

// Faults is every fault found in one go; as an error it prints one a line.
type Faults []Fault

func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Add notes a fault at pos.
func (fs *Faults) Add(pos Pos, format string, args ...any) {
	*fs = append(*fs, Fault{Pos: pos, What: fmt.Sprintf(format, args...)})
}

// Warn notes something worth a look at pos.
func (fs *Faults) Warn(pos Pos, format string, args ...any) {
	*fs = append(*fs, Fault{Pos: pos, What: fmt.Sprintf(format, args...), Warning: true})
}

// hint adds a hint to the last fault noted.
func (fs *Faults) hint(hint string) { (*fs)[len(*fs)-1].Hint = hint }

// Sort orders faults by file, line and column.
func (fs Faults) Sort() {
	slices.SortStableFunc(fs, func(a, b Fault) int {
		return cmp.Or(strings.Compare(a.Pos.File, b.Pos.File), a.Pos.Line-b.Pos.Line, a.Pos.Column-b.Pos.Column)
	})
}

// Grave reports how many of fs are more than warnings.
func (fs Faults) Grave() int {
	n := 0
	for _, f := range fs {
		if !f.Warning {
			n++
		}
	}
	return n
}

// Err is fs as an error where any of them is grave, else nil.
func (fs Faults) Err() error {
	if fs.Grave() == 0 {
		return nil
	}
	return fs
}

// Counted is "3 faults in 2 files, 1 warning".
func (fs Faults) Counted() string {
	files := map[string]bool{}
	for _, f := range fs {
		files[f.Pos.File] = true
	}
	grave := fs.Grave()
	said := fmt.Sprintf("%s in %s", Count(grave, "fault"), Count(len(files), "file"))
	if warnings := len(fs) - grave; warnings > 0 {
		said += ", " + Count(warnings, "warning")
	}
	return said
}
