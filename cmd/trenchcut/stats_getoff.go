package main

import (
	"context"
	"fmt"
	"strconv"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/stats"
)

func getoffView(ctx context.Context, in *statsInput) (statsView, error) {
	result := stats.GetOffs(in.reps, in.filmRates(ctx))
	if ctx.Err() != nil {
		return statsView{}, ctx.Err()
	}
	v := statsView{
		title:  "from the snap to his first movement, in milliseconds",
		who:    stats.GetOffWords,
		result: result,
		sheet:  sheet{heading: []string{"rusher", "marked", "unmarked", "mean", "mean-low", "mean-high", "sd", "half-frame", "against-others", "against-low", "against-high"}},
	}
	b := block{columns: []column{
		{title: "by rusher", least: 8, fold: true},
		{title: "marked", right: true},
		{title: "unmarked", right: true},
		{title: "mean (95 %)"},
		{title: "spread", right: true},
		{title: "against the others"},
		{title: "sample"},
	}}
	for i, g := range result {
		mean, sd, gap := "", "", ""
		cells := []any{g.Name, g.N, g.Unmarked, known(g.Mean), known(g.Low), known(g.High), known(g.SD), known(g.Frame), nil, nil, nil}
		if g.Mean != nil {
			mean, sd = fmt.Sprintf("%.0f (%.0f-%.0f)", 1000**g.Mean, 1000**g.Low, 1000**g.High), fmt.Sprintf("%.0f", 1000**g.SD)
			v.rates++
		}
		if g.Gap != nil {
			gap = fmt.Sprintf("%+.0f (%+.0f to %+.0f)", 1000*g.Gap.D, 1000*g.Gap.Low, 1000*g.Gap.High)
			cells[8], cells[9], cells[10] = g.Gap.D, g.Gap.Low, g.Gap.High
			v.comparisons++
		}
		v.sheet.add(cells...)
		if i == 0 && g.N == 0 {
			break
		}
		b.rows = append(b.rows, []string{g.Name, strconv.Itoa(g.N), strconv.Itoa(g.Unmarked), mean, sd, gap, sampleWords(stats.Count{N: g.N})})
	}
	v.blocks = []block{b}
	all := result[0]
	switch {
	case all.N == 0:
		v.notes = []string{fmt.Sprintf("No get-off is marked: %d reps without.", all.Unmarked)}
	case all.Frame == nil:
		v.notes = []string{"A mark is good to half a frame of film; the film of some of these reps was not found, so how much that is cannot be told."}
	default:
		v.notes = []string{fmt.Sprintf("A mark is good to half a frame of film, so the get-off of one rep, which takes two, to %.0f ms; a mean of many is better than that, unless whoever marks is early or late by habit.", 2000**all.Frame)}
	}
	return v, nil
}

// filmRates is the frame rate of a rep's film, where the film is there to be looked at.
func (in *statsInput) filmRates(ctx context.Context) func(*tags.Rep) tags.Rate {
	var library *film.Library
	if machine, err := session.OpenMachine(); err == nil {
		library = machine.Library
	}
	byFile := map[string]tags.Rate{}
	byPlay := map[*tags.Play]tags.Rate{}
	return func(r *tags.Rep) tags.Rate {
		if rate, ok := byPlay[r.Play]; ok {
			return rate
		}
		var rate tags.Rate
		if angles := r.Play.Angles(); len(angles) > 0 && library != nil {
			// Where nothing is known of the film, the rate is not known: no fault of the table's.
			if view, err := r.Play.View(angles[0]); err == nil {
				known := false
				if rate, known = byFile[view.File]; !known {
					if source, err := library.Source(ctx, view.File); err == nil {
						rate = source.Clock().Rate
					}
					byFile[view.File] = rate
				}
			}
		}
		byPlay[r.Play] = rate
		return rate
	}
}
