package main

import (
	"context"
	"strconv"

	"trenchcut/tags/stats"
)

func runView(_ context.Context, in *statsInput) (statsView, error) {
	result := stats.Runs(in.reps, in.season.Vocabulary)
	v := statsView{
		title:  "what he did against the run",
		who:    stats.RunFitsWords + ". Penetration is a beat marked, or a tackle for loss; edge is of the reps that owed it",
		result: result,
		sheet:  sheet{heading: []string{"rusher", "reps"}},
	}
	rates := block{columns: []column{
		{title: "by rusher", least: 10},
		{title: "reps", right: true},
		{title: "won per 100", least: 11, fold: true},
		{title: "penetration", least: 11, fold: true},
		{title: "stop", least: 11, fold: true},
		{title: "edge", least: 11, fold: true},
		{title: "sample"},
	}}
	for i, r := range result {
		row := []string{r.Name, strconv.Itoa(r.Reps)}
		cells := []any{r.Name, r.Reps}
		for _, rate := range r.Rates() {
			if i == 0 {
				v.sheet.heading = append(v.sheet.heading, rateHeading(rate.Name)...)
			}
			row = append(row, withRate(rate.Count))
			cells = append(cells, rateCells(rate.Rate)...)
			v.rates += enough(rate.Rate)
		}
		rates.rows = append(rates.rows, append(row, sampleWords(r.Won.Count)))
		v.sheet.add(cells...)
	}
	all := result[0]
	if all.Reps == 0 {
		v.lead = append(v.lead, "None of the chosen reps counts.")
		return v, nil
	}
	v.blocks = []block{rates, outcomesBlock(all.Outcomes)}
	if len(all.How) > 0 {
		how := outcomesBlock(all.How)
		how.columns[0].title = "lost how"
		v.blocks = append(v.blocks, how)
	}
	if all.Penetration.Unknown > 0 {
		v.notes = append(v.notes, plural(all.Penetration.Unknown, "win")+" with no beat marked: whether he penetrated is not known, and they are in no rate of it.")
	}
	return v, nil
}
