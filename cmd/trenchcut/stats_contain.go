package main

import (
	"context"
	"strconv"

	"trenchcut/tags/stats"
)

func containView(_ context.Context, in *statsInput) (statsView, error) {
	result := stats.Contains(in.reps)
	v := statsView{
		title:  "the edge owed, kept and lost",
		who:    stats.ContainWords,
		result: result,
		sheet:  sheet{heading: append(append([]string{"group", "owed"}, rateHeading("kept")...), "lost", "lost-in-a-win")},
	}
	b := block{columns: []column{
		{title: "who or on what", least: 12},
		{title: "owed", right: true},
		{title: "kept", right: true},
		{title: "per 100"},
		{title: "lost", right: true},
		{title: "in a win", right: true},
		{title: "not tagged", right: true},
		{title: "sample"},
	}}
	for _, c := range result {
		lost := c.Kept.N - c.Kept.K
		v.sheet.add(append(append([]any{c.Name, c.Owed}, rateCells(c.Kept)...), lost, c.LostInWin)...)
		b.rows = append(b.rows, []string{
			c.Name, strconv.Itoa(c.Owed), countWords(c.Kept.Count), rateWords(c.Kept.Count), strconv.Itoa(lost),
			strconv.Itoa(c.LostInWin), strconv.Itoa(c.Kept.Unknown), sampleWords(c.Kept.Count),
		})
		v.rates += enough(c.Kept)
	}
	if result[0].Owed == 0 {
		v.lead = append(v.lead, "None of the chosen reps counts.")
		return v, nil
	}
	v.blocks = []block{b}
	return v, nil
}
