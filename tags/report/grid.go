package report

import (
	"fmt"
	"slices"

	"trenchcut/tags/stats"
)

// Grid is columns with a value of each in every row.
type Grid struct {
	Name    string // empty for the first of a table
	Columns []Column
	Rows    [][]any
}

// Headings is the names of the cells of a row.
func (g Grid) Headings() []string {
	var names []string
	for _, c := range g.Columns {
		names = append(names, c.Headings()...)
	}
	return names
}

// Cells is the rows as a sheet holds them: each cell a string, an int, a float64, or nil
// where it is not known.
func (g Grid) Cells() [][]any {
	rows := make([][]any, len(g.Rows))
	for i, row := range g.Rows {
		for n, value := range row {
			rows[i] = append(rows[i], g.Columns[n].Cells(value)...)
		}
	}
	return rows
}

// column is a column with where its values come from.
type column[T any] struct {
	Column
	of func(T) any
}

// columns is the columns of rows of one type.
type columns[T any] []column[T]

// grid is rows under the columns, those for text alone left out.
func (cs columns[T]) grid(name string, rows []T) Grid {
	g := Grid{Name: name}
	for _, c := range cs {
		if !c.textOnly {
			g.Columns = append(g.Columns, c.Column)
		}
	}
	for _, r := range rows {
		var row []any
		for _, c := range cs {
			if !c.textOnly {
				row = append(row, c.of(r))
			}
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}

// lift makes the columns of U into columns of T, by the value of U that of takes from a row.
func lift[T, U any](cs columns[U], of func(T) U) columns[T] {
	lifted := make(columns[T], len(cs))
	for i, c := range cs {
		lifted[i] = column[T]{c.Column, func(row T) any { return c.of(of(row)) }}
	}
	return lifted
}

// given returns the value that of takes from a part of a row; nil in rows without the part.
func given[T, P any](part func(T) *P, of func(P) any) func(T) any {
	return func(row T) any {
		if p := part(row); p != nil {
			return of(*p)
		}
		return nil
	}
}

// Block is a table as text: the same on a terminal and on a page.
type Block struct {
	Headings []Heading
	Rows     [][]string // a row of one cell stands over those that follow
	Said     []string   // below it, of it alone

	figures, comparisons int // how many the block shows with an interval
}

// Heading is a column of text: its title, whether its texts stand to the right, and how it
// may be set where room is short, as [Column] has it.
type Heading struct {
	Title string
	Right bool
	Least int
	Fold  bool
	Spare int
	Wins  []string // texts that tell of a win, which a terminal may colour
	Marks bool     // its texts are how often plus, zero and minus: "2/1/1"
}

// form is how text shows a column.
type form int

const (
	whole    form = iota // as its kind prints; a rate as its count and its rate
	count                // of a rate: "7/12"
	joined               // of a rate, in one column: "7/12 58 (32-81)"
	rated                // of a rate: "58 (32-81)"; a dash where it is not told
	rate                 // of a rate: "58"
	interval             // of a rate: "32 to 81"
	sample               // of rates: whether they say little
)

// pick is a column of a grid as a block shows it, under another title where that is not
// empty.
type pick struct {
	key   string
	as    form
	title string
	spare int      // as Column.Spare
	with  []string // of a sample: the keys of other rates that the row shows
}

// block is rows as text, with the columns picked.
func (cs columns[T]) block(rows []T, picks ...pick) Block {
	var b Block
	of := make([]column[T], len(picks))
	for i, p := range picks {
		at := slices.IndexFunc(cs, func(c column[T]) bool { return c.Key == p.key })
		if at < 0 {
			panic(fmt.Sprintf("report: no column %q", p.key)) // a mistake in this package
		}
		of[i] = cs[at]
		b.Headings = append(b.Headings, p.headings(of[i].Column)...)
	}
	for _, r := range rows {
		var row []string
		for i, p := range picks {
			value := of[i].of(r)
			if p.as == sample {
				row = append(row, samplesWords(cs.rates(r, append([]string{p.key}, p.with...))))
				continue
			}
			row = append(row, p.texts(of[i].Column, value)...)
			b.count(p.as, value)
		}
		b.Rows = append(b.Rows, row)
	}
	return b
}

// rates returns the rates of a row in the columns of keys, without columns that have none.
func (cs columns[T]) rates(row T, keys []string) []sampled {
	var list []sampled
	for _, c := range cs {
		if r, ok := c.of(row).(stats.Rate); ok && slices.Contains(keys, c.Key) {
			list = append(list, sampled{c.title(), r})
		}
	}
	return list
}

func (p pick) headings(c Column) []Heading {
	h := Heading{Title: p.title, Right: c.Kind.right(), Least: c.Least, Fold: c.Fold, Spare: max(c.Spare, p.spare), Marks: c.Kind == Marks}
	if h.Title == "" {
		h.Title = c.title()
	}
	switch {
	case p.as == sample:
		return []Heading{{Title: "sample", Spare: p.spare, Least: 7, Fold: true}}
	case p.as == interval:
		return []Heading{{Title: "95 % interval"}}
	case p.as == rate:
		return []Heading{{Title: "per 100", Right: true}}
	case p.as == count:
		h.Right = true
	case c.Kind == Rate && p.as == whole:
		h.Right = true
		return []Heading{h, {Title: "per 100"}}
	}
	return []Heading{h}
}

func (p pick) texts(c Column, value any) []string {
	r, _ := value.(stats.Rate)
	switch {
	case p.as == count:
		return []string{countWords(r.Count)}
	case p.as == rated:
		if value == nil {
			return []string{"-"}
		}
		return []string{rateWords(r)}
	case p.as == rate || p.as == interval:
		if !r.Enough() {
			return []string{""}
		}
		at, low, high := r.Per100()
		if p.as == rate && r.Bounded() {
			least, most := r.Bounds100()
			return []string{fmt.Sprintf("%d to %d", least, most)}
		}
		if p.as == rate {
			return []string{fmt.Sprint(at)}
		}
		return []string{fmt.Sprintf("%d to %d", low, high)}
	case c.Kind == Rate && p.as == whole:
		return []string{countWords(r.Count), rateWords(r)}
	default:
		return []string{c.text(value)}
	}
}

// count counts what is shown with an interval.
func (b *Block) count(as form, value any) {
	switch v := value.(type) {
	case stats.Rate:
		if (as == whole || as == joined || as == rated || as == interval) && v.Enough() {
			b.figures++
		}
	case Estimate:
		if v.Low != nil || v.High != nil {
			b.figures++
		}
	case *stats.Difference:
		if v != nil {
			b.comparisons++
		}
	}
}
