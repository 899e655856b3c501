package exchange

import (
	"bytes"
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// How tells how the meaning of a column was found.
type How int

// The ways in which it is.
const (
	LeftOut How = iota // an empty heading, or left out as the column mapping says
	Told               // by the column mapping
	Sure               // by its heading
	Guessed            // by what its cells hold
	Kept               // not known: it is kept as an extra of the play
)

func (h How) String() string {
	return [...]string{"left out", "as told", "sure", "guess", "kept as extra"}[h]
}

// Understood is what was made of a sheet.
type Understood struct {
	Sheet   string
	Name    string   // of the worksheet in a workbook
	Others  []string // worksheets that hold something too and are not read
	Heading int      // the row of the headings, from 1
	Rows    int      // below it that hold something
	ByRow   bool     // the sheet has no play numbers: its plays have those of their rows
	Columns []ColumnRead
	// Unfilled is the fields that a play sheet should have and no row fills.
	Unfilled []string
}

// ColumnRead is what was made of a column of a sheet.
type ColumnRead struct {
	Heading  string
	Field    string // what it is to a play: "down", "endzone in"; of an extra its key
	Value    string // Field as a column mapping says it: "extra", "skip"
	How      How
	Cells    int      // that hold something
	Refused  int      // of these, because they cannot be read
	Examples []string // up to three different cells, as the sheet shows them
	Read     []Reading
	Unread   []Reading // words that are not known
}

// Reading is a way in which cells are written and what they were read as.
type Reading struct {
	Said, As string
	Cells    int
}

// mostExamples is how many different cells of a column are shown.
const mostExamples = 3

// understand is what was made of each column, as far as the headings tell.
func (r *reader) understand(l layout) {
	u := &Understood{Sheet: r.sheet.File, Name: r.sheet.Name, Others: r.sheet.Others, Heading: l.heading + 1, ByRow: l.byRow}
	for i, c := range l.columns {
		u.Columns = append(u.Columns, ColumnRead{Heading: r.sheet.Rows[l.heading][i].Text, Field: c.String(), Value: c.told(), How: l.how[i]})
	}
	r.understood = u
}

// counted notes a cell of a column.
func (c *ColumnRead) counted(text string) {
	c.Cells++
	if len(c.Examples) < mostExamples && !slices.Contains(c.Examples, short(text)) {
		c.Examples = append(c.Examples, short(text))
	}
}

// read notes that a cell was read as something else than it says.
func (c *ColumnRead) read(said, as string) { count(&c.Read, Reading{Said: said, As: as}) }

// unread notes that a word is not known.
func (c *ColumnRead) unread(said string) { count(&c.Unread, Reading{Said: said}) }

func count(list *[]Reading, one Reading) {
	i := slices.IndexFunc(*list, func(r Reading) bool { return r.Said == one.Said && r.As == one.As })
	if i < 0 {
		i = len(*list)
		*list = append(*list, one)
	}
	(*list)[i].Cells++
}

// ColumnFile is a file for --columns that says what was understood, for a person to correct.
func (u *Understood) ColumnFile() ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# What the headings of %s mean, as far as they tell. Correct what is wrong.\ntrenchcut: %d\ncolumns:\n", filepath.Base(u.Sheet), tags.Format)
	line := func(indent, key, value, remark string) error {
		text, err := yaml.Marshal(&yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{tags.Scalar(key), tags.Scalar(value)}})
		if err != nil {
			return err
		}
		if remark != "" {
			remark = " # " + remark
		}
		fmt.Fprintf(&b, "%s%s%s\n", indent, strings.TrimSpace(string(text)), remark)
		return nil
	}
	said := map[string]bool{}
	for _, c := range u.Columns {
		if c.Heading == "" || said[flatten(c.Heading)] {
			continue
		}
		said[flatten(c.Heading)] = true
		remark := ""
		if c.How == Guessed {
			remark = "a guess"
		}
		if err := line("  ", c.Heading, c.Value, remark); err != nil {
			return nil, err
		}
	}
	begun := false
	for _, c := range u.Columns {
		if len(c.Unread) == 0 {
			continue
		}
		if !begun {
			b.WriteString("# What these words mean is for the staff to say: take the # off, and write the word.\n# values:\n")
			begun = true
		}
		fmt.Fprintf(&b, "#   %s:\n", c.Field)
		for _, word := range c.Unread {
			if err := line("#     ", word.Said, "…", tags.Count(word.Cells, "cell")); err != nil {
				return nil, err
			}
		}
	}
	return b.Bytes(), nil
}

// finish drops columns of which there is nothing to say, and finds what nobody fills.
func (u *Understood) finish(entries []*entry) {
	u.Columns = slices.DeleteFunc(u.Columns, func(c ColumnRead) bool { return c.Heading == "" && c.Cells == 0 })
	for i := range u.Columns {
		slices.SortStableFunc(u.Columns[i].Read, func(a, b Reading) int { return cmp.Compare(a.As, b.As) })
	}
	for _, f := range fields {
		if f.Wanted && len(entries) > 0 && !slices.ContainsFunc(entries, func(e *entry) bool { _, ok := e.values[f.FileKey()]; return ok }) {
			u.Unfilled = append(u.Unfilled, f.Name)
		}
	}
}

// Words says which words of the column were read as which, and which were not read.
func (c ColumnRead) Words() []string {
	var lines []string
	for from := 0; from < len(c.Read); {
		to := from
		var said []string
		for ; to < len(c.Read) && c.Read[to].As == c.Read[from].As; to++ {
			said = append(said, c.Read[to].Said)
		}
		lines = append(lines, fmt.Sprintf("%s: %s read as %s", c.Heading, strings.Join(said, ", "), c.Read[from].As))
		from = to
	}
	var unread []string
	for _, word := range c.Unread {
		unread = append(unread, fmt.Sprintf("%s (%s)", word.Said, tags.Count(word.Cells, "cell")))
	}
	if len(unread) > 0 {
		lines = append(lines, fmt.Sprintf("%s: %s left open: no known %s", c.Heading, strings.Join(unread, ", "), c.Field))
	}
	return lines
}
