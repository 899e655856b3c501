package report

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

var metColumns = columns[stats.Met]{
	{Column{Key: "rusher", Doc: "Who rushed; empty in a blocker's row.", Least: 12, Fold: true}, func(m stats.Met) any { return m.Rusher }},
	{Column{Key: "blocker", Doc: "Who blocked him; empty in a rusher's row.", Least: 12, Fold: true}, func(m stats.Met) any { return m.Blocker }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "One-on-one reps."}, func(m stats.Met) any { return m.Reps() }},
	{Column{Key: "rusher-won", Kind: Number, Unit: "reps", Doc: "Those the rusher won."}, func(m stats.Met) any { return m.Won }},
	{Column{Key: "even", Kind: Number, Unit: "reps", Doc: "Those nobody won."}, func(m stats.Met) any { return m.Even }},
	{Column{Key: "blocker-won", Kind: Number, Unit: "reps", Doc: "Those the blocker won."}, func(m stats.Met) any { return m.Lost }},
	{Column{Key: "likely", Title: "rusher wins of 100 (95 %)", Kind: Interval, Unit: "share", Doc: "How often the rusher is likely to win: of a pair, that one; of one man, against the average of the others.", words: per100Words}, func(m stats.Met) any {
		return estimateOf(m.Likely)
	}},
}

// pairsOf is what a chart of pairs may be of.
var pairsOf = []string{"rushers", "blockers", "pairs"}

func pairsChart(r *Request, of string) (Chart, error) {
	p := r.scope().PairsOf(r.Reps)
	met, title := p.Rushers, "Each rusher's wins, against the average blocker"
	switch of {
	case "blockers":
		met, title = p.Blockers, "The average rusher's wins, against each blocker"
	case "pairs":
		met, title = p.Pairs, "The rusher's wins, by pair"
	}
	rows := make([]Point, len(met))
	for i, m := range met {
		name := strings.TrimPrefix(strings.TrimSuffix(m.Rusher+" on "+m.Blocker, " on "), " on ")
		rows[i] = Point{name, fmt.Sprintf("rusher won %d, even %d, blocker won %d", m.Won, m.Even, m.Lost), estimated(m.Likely)}
	}
	c := r.pointsChart(title, r.scope().CountedWords()+"; one-on-one alone, with the blocker and the battle tagged", false, rows)
	if p.Why != "" {
		c.Lines = append(c.Lines, saysNothing(p.Why))
	}
	return c, nil
}

func pairsTable(r *Request) (Table, error) {
	p := r.scope().PairsOf(r.Reps)
	t := Table{
		ownModel: true,
		Title:    "who wins against whom, one-on-one",
		Who:      r.scope().CountedWords() + "; one-on-one alone, with the blocker and the battle tagged",
		Lead:     []string{"All meetings are weighed at once, so nobody is held to be worse for having met better men. Few meetings leave a man near the average."},
	}
	t.Grids = []Grid{metColumns.grid("", slices.Concat(p.Rushers, p.Blockers, p.Pairs))}
	if p.Why != "" {
		t.Lead = append(t.Lead, saysNothing(p.Why))
	}
	counts := []pick{{key: "reps"}, {key: "rusher-won"}, {key: "even"}, {key: "blocker-won"}}
	rusher, blocker := pick{key: "rusher"}, pick{key: "blocker"}
	if p.Why == "" {
		counts = append(counts, pick{key: "likely"})
		rusher.title, blocker.title = "against the average blocker", "against the average rusher"
	}
	add := func(rows []stats.Met, names ...pick) {
		if len(rows) > 0 {
			t.Blocks = append(t.Blocks, metColumns.block(rows, append(names, counts...)...))
		}
	}
	add(p.Rushers, rusher)
	add(p.Blockers, blocker)
	add(p.Pairs, pick{key: "rusher"}, pick{key: "blocker"})
	if p.Seldom > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("In no row: %s that met fewer than %d times.", tags.Count(p.Seldom, "pair"), stats.Enough))
	}
	if p.NotAlone+p.Untagged > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("Left out: %d helped, in a stunt, unblocked or not tagged as one-on-one; %d with blocker or battle not tagged.", p.NotAlone, p.Untagged))
	}
	if p.Why == "" {
		t.Notes = append(t.Notes, "The model: Bradley and Terry's with ties (Davidson), shrunken toward the average; pairs that met seldom count in it too. What a game does to all of a blocker's reps counts as his; beyond that it takes every rep for a fresh try, so of men who met in few games it says less than it seems to.")
	}
	return t, nil
}
