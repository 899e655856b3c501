package tags

import (
	"fmt"
	"sort"
	"strings"
)

// Pos is a place in a file; Line and Column count from 1, Column in characters.
// The zero Pos is nowhere; Line 0 is the file as a whole.
type Pos struct {
	File   string
	Line   int
	Column int
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
	Pos     Pos
	What    string // "unknown move \"spinn\""
	Hint    string // "did you mean \"spin\"?"
	Warning bool   // worth a look, but no reason to stop
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
	sort.SliceStable(fs, func(i, j int) bool {
		a, b := fs[i].Pos, fs[j].Pos
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
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

// mostListed is how many known words a hint may list: every key of a rep, and no more.
const mostListed = 40

// DidYouMean names the known word nearest to a mistyped one, as a hint, or lists the
// known words where none is near and they are few.
func DidYouMean(word string, known []string) string {
	near, ok := Nearest(word, known)
	switch {
	case ok:
		return fmt.Sprintf("did you mean %q?", near)
	case len(known) > 0 && len(known) <= mostListed:
		return "want one of " + strings.Join(known, ", ")
	default:
		return ""
	}
}

// Nearest is the known word nearest to a mistyped one; false where none is near.
func Nearest(word string, known []string) (string, bool) {
	best, least := "", 1+len(word)/3
	for _, k := range known {
		d := distance(strings.ToLower(word), strings.ToLower(k))
		// A word of which half the letters would change is not misspelt but another word.
		if 2*d < max(len(word), len(k)) && d <= least && (best == "" || d < least) {
			best, least = k, d
		}
	}
	return best, best != ""
}

// distance is the optimal string alignment distance: the fewest letters put in, left
// out, changed, or swapped with their neighbour.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > 64 || len(t) > 64 {
		return len(s) + len(t)
	}
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
}
