package main

import (
	"context"
	"fmt"

	"trenchcut/tags/stats"
)

// mostShown and mostNext are how many moves a page tells of, and how many that came next
// to each; the other forms tell of all.
const (
	mostShown = 8
	mostNext  = 6
)

func sequenceView(_ context.Context, in *statsInput) (statsView, error) {
	s := stats.Sequence(in.reps)
	v := statsView{
		title:  "what won next after what he showed this blocker last",
		who:    stats.SequencesWords,
		result: s,
		lead: []string{fmt.Sprintf("%s came after another against the same blocker; %d more were the first against theirs, and %d have no blocker or move tagged.",
			plural(s.Reps, "rep"), s.Firsts, s.Untagged)},
		sheet: sheet{heading: append(append([]string{"shown", "times", "next", "reps"}, rateHeading("won")...), rateHeading("pressure")...)},
	}
	b := block{columns: []column{
		{title: "shown > next", least: 14, fold: true},
		{title: "reps", right: true},
		{title: "won", right: true},
		{title: "per 100"},
		{title: "pressure", right: true},
		{title: "per 100"},
		{title: "sack", right: true},
		{title: "sample"},
	}}
	moves, more := map[string]bool{}, false
	for _, after := range s.Followers {
		times, name := 1, after.Shown
		if after.Twice {
			times, name = 2, after.Shown+" twice running"
		}
		moves[after.Shown] = true
		for i, g := range append([]stats.Group{after.All}, after.Next...) {
			v.sheet.add(append(append([]any{after.Shown, times, g.Name, g.Reps}, rateCells(g.Won)...), rateCells(g.Pressure)...)...)
			if len(moves) > mostShown || i > mostNext {
				more = true
				continue
			}
			row := groupRow(g)
			row[0] = "> " + g.Name
			if g.Name == stats.All {
				row[0] = name
			} else if after.Twice {
				continue // so few that only their sum says anything
			}
			b.rows = append(b.rows, row)
			v.rates += enough(shownRates(g)...)
		}
	}
	if more {
		v.notes = append(v.notes, "The most frequent; the other forms (--csv, --json, --xlsx) hold all.")
	}
	v.blocks = []block{b}
	return v, nil
}
