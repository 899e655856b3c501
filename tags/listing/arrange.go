package listing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rivo/uniseg"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// group is the rows that have the same values of what was grouped by.
type group struct {
	values []any // of each fact; nil where it is not known
	rows   []int
}

// none stands for a list that is known to be empty, which is more than not tagged.
const none = "none"

// Order is a fact to sort by, and whether the other way round.
type Order struct {
	query.Fact
	Down bool
}

// ParseOrders reads names of facts, each with - before it for the other way round.
func ParseOrders(registry *query.Registry, names []string) ([]Order, error) {
	orders := make([]Order, len(names))
	for i, name := range names {
		plain, down := strings.CutPrefix(name, "-")
		facts, err := registry.Named(plain)
		if err != nil {
			return nil, err
		}
		orders[i] = Order{facts[0], down}
	}
	return orders, nil
}

// Arrange sorts the list and divides it into groups. It fails where a list of plays is to be
// arranged by what only reps have.
func (l *List) Arrange(registry *query.Registry, by []query.Fact, sort []Order) error {
	facts := slices.Clone(by)
	for _, o := range sort {
		facts = append(facts, o.Fact)
	}
	for _, f := range facts {
		if l.Noun == "play" && !f.OfPlay {
			return fmt.Errorf("%s is of a rep, not of a play: leave out --plays", f.Name)
		}
	}
	if len(sort) > 0 {
		l.sort(registry, sort)
	}
	if l.by = by; by != nil {
		l.group(registry)
	}
	if l.sorted || l.by != nil {
		for i, g := range l.games {
			l.rows[i][0] = g.ID + "-" + l.rows[i][0] // no game stands above it
		}
	}
	return nil
}

// sort puts rows in order of facts; what is not known comes last, whichever way round.
func (l *List) sort(registry *query.Registry, by []Order) {
	order := l.all()
	slices.SortStableFunc(order, func(a, b int) int {
		for _, f := range by {
			va, knownA := l.values(a, f.Fact)
			vb, knownB := l.values(b, f.Fact)
			switch {
			case knownA && !knownB:
				return -1
			case knownB && !knownA:
				return 1
			case !knownA:
				continue
			}
			if c := registry.Compare(f.Fact, va, vb); c != 0 {
				if f.Down {
					return -c
				}
				return c
			}
		}
		return 0
	})
	rows, games, values := make([][]string, len(order)), make([]*tags.Game, len(order)), l.values
	for to, from := range order {
		rows[to], games[to] = l.rows[from], l.games[from]
	}
	l.rows, l.games, l.sorted = rows, games, true
	l.values = func(row int, f query.Fact) (any, bool) { return values(order[row], f) }
	for _, f := range by {
		if !slices.Contains(l.shown, f.Name) {
			l.tell(f.Fact)
		}
	}
}

// mostFolded is how many cells wide the widest text of a column may be that is folded. A longer
// one, such as a note, would fill the page.
const mostFolded = 26

// tell gives the table a column for a fact that it does not tell yet.
func (l *List) tell(f query.Fact) {
	l.shown = append(l.shown, f.Name)
	longest := 0
	for row := range l.rows {
		text := ""
		if value, ok := l.values(row, f); ok {
			text = f.Format(value)
		}
		longest = max(longest, uniseg.StringWidth(text))
		l.rows[row] = append(l.rows[row], text)
	}
	least := 8
	for part := range strings.SplitSeq(f.Name, "-") {
		least = max(least, uniseg.StringWidth(part))
	}
	l.columns = append(l.columns, report.Heading{Title: f.Name, Least: least, Fold: longest <= mostFolded})
}

// group divides the rows, in their order, into groups in order of what they are by. A
// rep of several words of a list is in several groups.
func (l *List) group(registry *query.Registry) {
	at := map[string]int{}
	for row := range l.rows {
		combinations := [][]any{nil}
		for _, f := range l.by {
			values := []any{nil}
			if value, ok := l.values(row, f); ok {
				values = f.Single(value)
				if len(values) == 0 {
					values = []any{[]string{}}
				}
			}
			var longer [][]any
			for _, c := range combinations {
				for _, v := range values {
					longer = append(longer, append(slices.Clone(c), v))
				}
			}
			combinations = longer
		}
		for _, c := range combinations {
			g := group{values: c}
			key := strings.Join(l.named(g), "\x00")
			if _, ok := at[key]; !ok {
				at[key] = len(l.groups)
				l.groups = append(l.groups, g)
			}
			l.groups[at[key]].rows = append(l.groups[at[key]].rows, row)
		}
	}
	slices.SortStableFunc(l.groups, func(a, b group) int {
		for i, f := range l.by {
			va, vb := a.values[i], b.values[i]
			c := cmp.Compare(lateness(va), lateness(vb))
			if c == 0 && va != nil {
				c = registry.Compare(f, va, vb)
			}
			if c != 0 {
				return c
			}
		}
		return 0
	})
}

// lateness puts what is known to be none behind what there is, and what is not known last.
func lateness(value any) int {
	list, ok := value.([]string)
	switch {
	case value == nil:
		return 2
	case ok && len(list) == 0:
		return 1
	default:
		return 0
	}
}

// named is the values of a group as text.
func (l *List) named(g group) []string {
	names := make([]string, len(g.values))
	for i, value := range g.values {
		switch lateness(value) {
		case 2:
			names[i] = stats.NotTagged
		case 1:
			names[i] = none
		default:
			names[i] = l.by[i].Format(value)
		}
	}
	return names
}

// all is every row, in order.
func (l *List) all() []int {
	rows := make([]int, len(l.rows))
	for i := range rows {
		rows[i] = i
	}
	return rows
}

// groupBlocks is how many there are of each group, then the rows under its name.
func (l *List) groupBlocks() []report.Block {
	var columns []report.Heading
	for _, f := range l.by {
		columns = append(columns, report.Heading{Title: f.Name, Least: 8, Fold: true})
	}
	columns = append(columns, report.Heading{Title: l.Noun + "s", Right: true})
	var counts, rows [][]string
	for _, g := range l.groups {
		names := l.named(g)
		counts = append(counts, append(slices.Clone(names), fmt.Sprint(len(g.rows))))
		for i, f := range l.by {
			names[i] = f.Name + " " + names[i]
		}
		rows = append(rows, []string{""}, []string{strings.Join(names, ", ") + ": " + tags.Count(len(g.rows), l.Noun)})
		for _, row := range g.rows {
			rows = append(rows, l.untold(l.rows[row]))
		}
	}
	shown := slices.DeleteFunc(slices.Clone(l.columns), func(c report.Heading) bool { return l.heads(c.Title) })
	return []report.Block{{Headings: columns, Rows: counts}, {Headings: shown, Rows: rows}}
}

// heads reports whether the headings of groups tell what the column of that title would.
func (l *List) heads(title string) bool {
	return slices.ContainsFunc(l.by, func(f query.Fact) bool { return f.Name == title && f.Kind != query.List })
}

// untold is the cells of a row that the headings of groups do not tell.
func (l *List) untold(row []string) []string {
	var cells []string
	for i, c := range l.columns {
		if !l.heads(c.Title) {
			cells = append(cells, row[i])
		}
	}
	return cells
}
