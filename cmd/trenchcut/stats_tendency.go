package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// situations is the keys that tendencies are told by, where --by names no others.
var situations = []string{"down-class", "align", "set", "hash", "quarter"}

// mostShares is how many shares of a situation a page tells; the other forms tell all.
const mostShares = 3

func tendencyView(_ context.Context, in *statsInput) (statsView, error) {
	facts, err := in.situationFacts()
	if err != nil {
		return statsView{}, err
	}
	v := statsView{
		title: "what is done how often, by situation",
		who:   stats.RushesWords,
		lead:  []string{fmt.Sprintf("The %d most frequent of each, with count, share per 100 and its 95 %% interval.", mostShares)},
		sheet: sheet{heading: append([]string{"by", "situation", "reps", "what", "done"}, rateHeading("count")...)},
	}
	var result []stats.Tendency
	for _, f := range facts {
		situation, compare := ordered(in.registry, f)
		of := stats.Tendencies(in.reps, f.Name, situation, compare)
		v.addTendencies(of)
		result = append(result, of...)
	}
	v.result = result
	return v, nil
}

// situationFacts is the keys that tendencies are told by.
func (in *statsInput) situationFacts() ([]query.Fact, error) {
	if in.byAsked {
		return in.by, nil
	}
	var facts []query.Fact
	for _, name := range situations {
		f, ok := in.registry.Find(name)
		if !ok {
			return nil, fmt.Errorf("no fact %s", name)
		}
		facts = append(facts, f)
	}
	return facts, nil
}

// addTendencies shows what was chosen in the same situations side by side.
func (v *statsView) addTendencies(of []stats.Tendency) {
	b := block{columns: []column{{title: "by " + of[0].By, least: 12}, {title: "reps", right: true}}}
	for _, t := range of {
		b.columns = append(b.columns, column{title: strings.ReplaceAll(t.What, "-", " "), least: 20})
		for _, s := range t.Situations {
			for i, share := range s.Shares {
				v.sheet.add(append([]any{t.By, s.Name, s.Reps, t.What, share.Name}, rateCells(share.Rate)...)...)
				if i < mostShares {
					v.rates += enough(share.Rate)
				}
			}
		}
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
					cell = shares[line].Name + " " + withRate(shares[line].Count)
				}
				row = append(row, cell)
			}
			b.rows = append(b.rows, row)
		}
	}
	v.blocks = append(v.blocks, b)
}

// ordered is the values of a fact, and the order in which they are told.
func ordered(registry *query.Registry, f query.Fact) (of func(*tags.Rep) []string, compare func(a, b string) int) {
	met := map[string]any{}
	of = func(r *tags.Rep) []string {
		value, ok := f.OfRep(r)
		if !ok {
			return nil
		}
		if list, ok := value.([]string); !ok || f.Kind != query.List || len(list) == 0 {
			name := values(f, r)
			met[name[0]] = value
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
