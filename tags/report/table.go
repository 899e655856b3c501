package report

import (
	"encoding/json"
	"strings"

	"trenchcut/tags"
)

// Table is one table made: its figures as grids, and what people read of it.
type Table struct {
	Name   string
	Title  string
	Who    string   // who counts in it
	Lead   []string // said before the blocks
	Key    string   // of Lead, the one line that says what came out; empty where none does
	Blocks []Block  // the figures as text; those with no rows are not shown
	Notes  []string // said behind them
	Grids  []Grid   // the figures as data; the first is the table, the others go with it

	comparisons int // those that stand in no block
	// Untitled says that text goes on from what was asked, under no title of the table's own.
	Untitled bool
	// ownModel says that the table tells by itself what its intervals are by.
	ownModel bool
}

// Figures is how many figures and how many comparisons the blocks show with an interval.
func (t Table) Figures() (figures, comparisons int) {
	comparisons = t.comparisons
	for _, b := range t.Blocks {
		figures += b.figures
		comparisons += b.comparisons
	}
	return figures, comparisons
}

// Chances says how many chances the figures and comparisons of tables gave to chance;
// empty where there are none.
func Chances(tables []Table) string {
	figures, comparisons := 0, 0
	for _, t := range tables {
		f, c := t.Figures()
		figures, comparisons = figures+f, comparisons+c
	}
	var what []string
	if figures > 0 {
		what = append(what, tags.Count(figures, "figure"))
	}
	if comparisons > 0 {
		what = append(what, tags.Count(comparisons, "comparison"))
	}
	if len(what) == 0 {
		return ""
	}
	return strings.Join(what, " and ") + " with an interval on this page. About one interval in 20 misses by chance alone, so look for what repeats, not for the one line that stands out."
}

// MarshalJSON writes the table as an object: its title, who counts, what is said of it, and
// its grids. The columns and rows of the first grid stand in the object itself, those of
// the others under their names. Shares are from 0 to 1, and what is not known is null.
func (t Table) MarshalJSON() ([]byte, error) {
	said := append(append([]string{}, t.Lead...), t.Notes...)
	out := Object{{"title", t.Title}, {"who-counts", t.Who}, {"said", said}}
	for _, g := range t.Grids {
		if g.Name == "" {
			out = append(out, g.object()...)
		} else {
			out = append(out, Member{g.Name, g.object()})
		}
	}
	return json.Marshal(out)
}

// object is the grid as members of an object: what its columns are, and its rows.
func (g Grid) object() Object {
	columns, rows := make([]Object, len(g.Columns)), make([]Object, len(g.Rows))
	for i, c := range g.Columns {
		columns[i] = Object{{"key", c.Key}, {"unit", c.Unit}, {"doc", c.Doc}}
	}
	for i, row := range g.Rows {
		for n, value := range row {
			rows[i] = append(rows[i], Member{g.Columns[n].Key, g.Columns[n].json(value)})
		}
	}
	return Object{{"columns", columns}, {"rows", rows}}
}
