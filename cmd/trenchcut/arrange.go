package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// foundGroup is the rows that have the same values of what was grouped by.
type foundGroup struct {
	values []any // of each fact; nil where it is not known
	rows   []int
}

// none stands for a list that is known to be empty, which is more than not tagged.
const none = "none"

// arrange sorts what was found and divides it into groups, by facts that are named.
func (l *found) arrange(registry *query.Registry, by, sort []string, ofPlays bool) error {
	names := make([]string, len(sort))
	for i, name := range sort {
		names[i] = strings.TrimPrefix(name, "-")
	}
	facts, err := namedFacts(registry, "find", "sort", names)
	if err != nil {
		return err
	}
	if l.by, err = namedFacts(registry, "find", "by", by); err != nil {
		return err
	}
	for _, f := range append(slices.Clone(l.by), facts...) {
		if ofPlays && !f.OfPlay {
			return usageError{fmt.Errorf("%s is of a rep, not of a play: leave out --plays", f.Name), "trenchcut find"}
		}
	}
	if len(facts) > 0 {
		l.sort(registry, facts, sort)
	}
	if l.by != nil {
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
func (l *found) sort(registry *query.Registry, facts []query.Fact, written []string) {
	order := l.all()
	slices.SortStableFunc(order, func(a, b int) int {
		for i, f := range facts {
			va, knownA := l.values(a, f)
			vb, knownB := l.values(b, f)
			switch {
			case knownA && !knownB:
				return -1
			case knownB && !knownA:
				return 1
			case !knownA:
				continue
			}
			if c := registry.Compare(f, va, vb); c != 0 {
				if strings.HasPrefix(written[i], "-") {
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
	for _, f := range facts {
		if !slices.Contains(l.shown, f.Name) {
			l.tell(f)
		}
	}
}

// tell gives the table a column for a fact that it does not tell yet.
func (l *found) tell(f query.Fact) {
	l.shown = append(l.shown, f.Name)
	longest := 0
	for row := range l.rows {
		text := ""
		if value, ok := l.values(row, f); ok {
			text = f.Format(value)
		}
		longest = max(longest, textWidth(text))
		l.rows[row] = append(l.rows[row], text)
	}
	// A note folded to a narrow column would fill the page.
	least := 8
	for _, part := range strings.Split(f.Name, "-") {
		least = max(least, textWidth(part))
	}
	l.columns = append(l.columns, column{title: f.Name, least: least, fold: longest <= pageWidth/3})
}

// group divides the rows, in their order, into groups in order of what they are by. A
// rep of several words of a list is in several groups.
func (l *found) group(registry *query.Registry) {
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
			g := foundGroup{values: c}
			key := strings.Join(l.named(g), "\x00")
			if _, ok := at[key]; !ok {
				at[key] = len(l.groups)
				l.groups = append(l.groups, g)
			}
			l.groups[at[key]].rows = append(l.groups[at[key]].rows, row)
		}
	}
	slices.SortStableFunc(l.groups, func(a, b foundGroup) int {
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
func (l *found) named(g foundGroup) []string {
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
func (l *found) all() []int {
	rows := make([]int, len(l.rows))
	for i := range rows {
		rows[i] = i
	}
	return rows
}

// printGroups prints how many there are of each group, then the rows under its name.
func (l found) printGroups(w io.Writer) error {
	width := outWidth(w)
	var columns []column
	for _, f := range l.by {
		columns = append(columns, column{title: f.Name, least: 8, fold: true})
	}
	columns = append(columns, column{title: l.noun + "s", right: true})
	var counts, rows [][]string
	for _, g := range l.groups {
		names := l.named(g)
		counts = append(counts, append(slices.Clone(names), fmt.Sprint(len(g.rows))))
		for i, f := range l.by {
			names[i] = f.Name + " " + names[i]
		}
		rows = append(rows, []string{""})
		for _, line := range folded(width, strings.Join(names, ", ")+": "+tags.Count(len(g.rows), l.noun)) {
			rows = append(rows, []string{line})
		}
		for _, row := range g.rows {
			rows = append(rows, l.untold(l.rows[row]))
		}
	}
	shown := slices.DeleteFunc(slices.Clone(l.columns), func(c column) bool { return l.heads(c.title) })
	if err := printTable(w, width, columns, counts); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return printTable(w, width, shown, rows)
}

// heads reports whether the headings of groups tell what the column of that title would.
func (l found) heads(title string) bool {
	return slices.ContainsFunc(l.by, func(f query.Fact) bool { return f.Name == title && f.Kind != query.List })
}

// untold is the cells of a row that the headings of groups do not tell.
func (l found) untold(row []string) []string {
	var cells []string
	for i, c := range l.columns {
		if !l.heads(c.title) {
			cells = append(cells, row[i])
		}
	}
	return cells
}

// folded is text in lines of at most width characters.
func folded(width int, text string) []string {
	var out bytes.Buffer
	_ = printWrapped(&out, width, text) // a buffer takes everything
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
}
