package report

import (
	"bytes"
	"encoding/json"
	"strings"
)

// Table is one table made: its figures as grids, and what people read of it.
type Table struct {
	Name   string
	Title  string
	Who    string   // who counts in it
	Lead   []string // said before the blocks
	Blocks []Block  // the figures as text; those with no rows are not shown
	Notes  []string // said behind them
	Grids  []Grid   // the figures as data; the first is the table, the others go with it

	comparisons int // those that stand in no block
	// plainTitle says that text goes on from what was asked, under no title of the table's own.
	plainTitle bool
}

// Untitled reports whether text shows the table under no title of its own.
func (t Table) Untitled() bool { return t.plainTitle }

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
		what = append(what, plural(figures, "figure"))
	}
	if comparisons > 0 {
		what = append(what, plural(comparisons, "comparison"))
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
	out := object{{"title", t.Title}, {"who-counts", t.Who}, {"said", said}}
	for _, g := range t.Grids {
		if g.Name == "" {
			out = append(out, g.object()...)
		} else {
			out = append(out, member{g.Name, g.object()})
		}
	}
	return json.Marshal(out)
}

// object is the grid as members of an object: what its columns are, and its rows.
func (g Grid) object() object {
	columns, rows := make([]object, len(g.Columns)), make([]object, len(g.Rows))
	for i, c := range g.Columns {
		columns[i] = object{{"key", c.Key}, {"unit", c.Unit}, {"doc", c.Doc}}
	}
	for i, row := range g.Rows {
		for n, value := range row {
			rows[i] = append(rows[i], member{g.Columns[n].Key, g.Columns[n].json(value)})
		}
	}
	return object{{"columns", columns}, {"rows", rows}}
}

// object is a JSON object that keeps the order of its members.
type object []member

type member struct {
	name  string
	value any
}

// MarshalJSON writes the members in order, and < and > as they are.
func (o object) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	out.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			out.WriteByte(',')
		}
		if err := enc.Encode(m.name); err != nil {
			return nil, err
		}
		out.WriteByte(':')
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}
