package report

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// situations is the keys that tendencies are told by where no others are asked for.
var situations = []string{"down-class", "align", "set", "hash", "quarter"}

// mostShares is how many shares of a situation text tells; the other forms tell all.
const mostShares = 3

// tendencyRow is one thing done in one situation.
type tendencyRow struct {
	by, what  string
	situation stats.Situation
	share     stats.NamedRate
}

var tendencyColumns = columns[tendencyRow]{
	{Column{Key: "by", Doc: "What tells situations apart."}, func(r tendencyRow) any { return r.by }},
	{Column{Key: "situation", Doc: "The situation."}, func(r tendencyRow) any { return r.situation.Name }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps in it."}, func(r tendencyRow) any { return r.situation.Reps }},
	{Column{Key: "what", Doc: "What is chosen: by the rusher the first move and the path, by the other side the set and the help."}, func(r tendencyRow) any { return r.what }},
	{Column{Key: "choice", Doc: "The choice made."}, func(r tendencyRow) any { return r.share.Name }},
	{Column{Key: "done", Kind: Rate, Unit: "reps", Doc: "Reps on which it was made, of those of which the choice is known."}, func(r tendencyRow) any { return r.share.Rate }},
}

func tendencyTable(r *Request) (Table, error) {
	facts, err := r.situationFacts()
	if err != nil {
		return Table{}, err
	}
	t := Table{
		Title: "what is done how often, by situation",
		Who:   r.scope().RushesWords(),
		Lead:  []string{fmt.Sprintf("What the rushers do, then what the blockers do against them. The %d most frequent of each, with count, share per 100 and its 95 %% interval.", mostShares)},
	}
	var rows []tendencyRow
	rushes := r.scope().Rushes(r.Reps)
	for _, f := range facts {
		situation, compare := ordered(r.Query.Registry(), f)
		of := stats.Tendencies(rushes, f.Name, situation, compare)
		for _, c := range of {
			if r.circular(f, c.What) {
				continue
			}
			for _, s := range c.Situations {
				for _, share := range s.Shares {
					rows = append(rows, tendencyRow{c.By, c.What, s, share})
				}
			}
		}
		for _, theirs := range []bool{false, true} {
			if part := r.tendenciesOf(of, f, theirs); len(part) > 0 {
				t.Blocks = append(t.Blocks, tendencyBlock(part))
			}
		}
	}
	t.Grids = []Grid{tendencyColumns.grid("", rows)}
	return t, nil
}

// situationFacts is the keys that tendencies are told by.
func (r *Request) situationFacts() ([]query.Fact, error) {
	if r.ByAsked {
		return r.By, nil
	}
	var facts []query.Fact
	for _, name := range situations {
		f, ok := r.Query.Registry().Find(name)
		if !ok {
			return nil, fmt.Errorf("no fact %s", name)
		}
		facts = append(facts, f)
	}
	return facts, nil
}

// circular reports whether what was chosen would only say how reps were chosen, or how f makes
// situations.
func (r *Request) circular(f query.Fact, what string) bool {
	return slices.ContainsFunc(append([]string{what}, settledBy[what]...), func(by string) bool {
		return r.Query.AsksFor(by) || f.Includes(by)
	})
}

// settledBy is the other facts by which it is settled what was chosen.
var settledBy = map[string][]string{
	"first-move": {"sequence"},
	"path":       {"sequence", "last-move", "inside-counter"},
}

// tendenciesOf is ours or theirs of tendencies by f: those that say anything, and are not
// circular.
func (r *Request) tendenciesOf(all []stats.Tendency, f query.Fact, theirs bool) []stats.Tendency {
	var list []stats.Tendency
	for _, t := range all {
		said := slices.ContainsFunc(t.Situations, func(s stats.Situation) bool { return len(s.Shares) > 0 })
		if t.Theirs == theirs && !r.circular(f, t.What) && (said || !theirs) {
			list = append(list, t)
		}
	}
	return list
}

// tendencyBlock shows what was chosen in the same situations side by side.
func tendencyBlock(of []stats.Tendency) Block {
	b := Block{Headings: []Heading{{Title: "by " + of[0].By, Least: 12}, {Title: "reps", Right: true}}}
	for _, t := range of {
		title := tags.Spoken(t.What)
		if t.Theirs {
			title = "their " + title
		}
		b.Headings = append(b.Headings, Heading{Title: title, Least: 20})
	}
	for i, s := range of[0].Situations {
		lines := 1
		for _, t := range of {
			lines = max(lines, min(mostShares, len(t.Situations[i].Shares)))
		}
		for line := range lines {
			row := []string{s.Name, strconv.Itoa(s.Reps)}
			if line > 0 {
				row = []string{"", ""}
			}
			for _, t := range of {
				cell := ""
				if shares := t.Situations[i].Shares; line < len(shares) {
					cell = shares[line].Name + " " + Column{}.text(shares[line].Rate)
					b.count(joined, shares[line].Rate)
				}
				row = append(row, cell)
			}
			b.Rows = append(b.Rows, row)
		}
	}
	return b
}

// ordered is the values of a fact, and the order in which they are told.
func ordered(registry *query.Registry, f query.Fact) (of func(*tags.Rep) []string, compare func(a, b string) int) {
	if f.IsCrossed() {
		return f.Groups, f.CompareGroups
	}
	met := map[string]any{}
	of = func(r *tags.Rep) []string {
		value, ok := f.OfRep(r)
		if !ok {
			return nil
		}
		if list, ok := value.([]string); !ok || f.Kind != query.List || len(list) == 0 {
			name := f.Groups(r)
			if _, ok := met[name[0]]; !ok {
				met[name[0]] = value
			}
			return name
		}
		var names []string
		for _, single := range f.Single(value) {
			name := f.Format(single)
			met[name] = single
			names = append(names, name)
		}
		return names
	}
	return of, func(a, b string) int { return registry.Compare(f, met[a], met[b]) }
}

var tendencyOf = []string{"first-move", "path", "set", "help"}

// tendencyChart is what is done in each situation: a row each, of one key or of several.
func tendencyChart(r *Request, of string) (Chart, error) {
	facts, err := r.situationFacts()
	if err != nil {
		return nil, err
	}
	if of == "" {
		says := func(of string) bool {
			return !slices.ContainsFunc(facts[:1], func(f query.Fact) bool { return r.circular(f, of) })
		}
		of = tendencyOf[max(slices.IndexFunc(tendencyOf, says), 0)]
	}
	if !r.ByAsked {
		facts = facts[:1] // all of them are more rows than a page holds
	}
	var rows []stats.Situation
	rushes := r.scope().Rushes(r.Reps)
	untagged := 0
	for _, t := range stats.Tendencies(rushes, stats.All, everyone, strings.Compare) { // a rep may be in several situations
		if t.What == of && len(t.Situations) > 0 {
			untagged = t.Situations[0].Untagged
		}
	}
	for i, f := range facts {
		situation, compare := ordered(r.Query.Registry(), f)
		for _, t := range stats.Tendencies(rushes, f.Name, situation, compare) {
			if t.What != of {
				continue
			}
			for _, s := range t.Situations {
				s.Name = keyed(facts, i, s.Name)
				rows = append(rows, s)
			}
		}
	}
	totals := map[string]int{}
	for _, s := range rows {
		for _, share := range s.Shares {
			totals[share.Name] += share.K
		}
	}
	parts := slices.SortedFunc(maps.Keys(totals), func(a, b string) int {
		return cmp.Or(cmp.Compare(totals[b], totals[a]), cmp.Compare(a, b))
	})
	c := Portions{Title: chartTitle(of, facts), Lines: r.chartLines(), Parts: parts, Small: chartSmall(r.scope().RushesWords(), 0)}
	for _, s := range rows {
		row := PortionsRow{Name: s.Name, Counts: make([]int, len(parts))}
		for _, share := range s.Shares {
			row.Counts[slices.Index(parts, share.Name)] = share.K
		}
		c.Rows = append(c.Rows, row)
	}
	if untagged > 0 {
		c.Small = append(c.Small, tags.Count(untagged, "rep")+" of which it is not tagged.")
	}
	return c, nil
}
