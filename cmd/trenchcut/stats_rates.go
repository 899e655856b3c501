package main

import (
	"context"
	"fmt"
	"strconv"

	"trenchcut/tags/stats"
)

// ratesTable is the table that stats prints where none is named.
const ratesTable = "rates"

// ratesResult is that table as JSON.
type ratesResult struct {
	Summary stats.Summary `json:"summary"`
	By      []breakdown   `json:"by"`
}

// breakdown is the headline's reps grouped by one fact.
type breakdown struct {
	Key    string        `json:"key"`
	Groups []stats.Group `json:"groups"`
}

func ratesView(_ context.Context, in *statsInput) (statsView, error) {
	s := stats.Summarise(in.reps, in.season.Vocabulary)
	result := ratesResult{Summary: s}
	counted := stats.Counted(in.reps)
	for _, f := range in.by {
		result.By = append(result.By, breakdown{f.Name, stats.By(counted, valuesOf(f))})
	}
	v := statsView{who: stats.CountedWords, result: result, sheet: ratesSheet(result)}
	if s.Headline.Reps > 0 {
		said := fmt.Sprintf("%s in the rates: rushers on dropbacks.", plural(s.Headline.Reps, "rep"))
		if apart := s.ApartWords(); apart != "" {
			said += " Apart: " + apart + "."
		}
		if s.DrewHold > 0 {
			said += fmt.Sprintf(" Wins that are holds he drew: %d.", s.DrewHold)
		}
		v.lead = append(v.lead, said)
	}
	v.lead = append(v.lead, s.Sentence())
	if s.Headline.Reps == 0 {
		return v, nil
	}
	v.blocks = append(v.blocks, headlineBlock(s))
	v.rates = enough(s.PlayPressure)
	for _, r := range s.Headline.Rates() {
		v.rates += enough(r.Rate)
	}
	for _, table := range append([]breakdown{{"matchup", s.Matchups}}, result.By...) {
		v.blocks = append(v.blocks, groupsBlock(table))
		v.rates += groupRates(table.Groups)
	}
	v.blocks = append(v.blocks, outcomesBlock(s.Outcomes))
	return v, nil
}

func headlineBlock(s stats.Summary) block {
	b := block{columns: []column{
		{title: "all"},
		{title: "count", right: true},
		{title: "per 100", right: true},
		{title: "95 % interval"},
		{title: "sample"},
		{title: ""},
	}}
	row := func(name string, r stats.Rate) {
		note := ""
		if r.Unknown > 0 {
			note = fmt.Sprintf("%d not known", r.Unknown)
		}
		rate, interval := "", ""
		if r.Enough() {
			at, low, high := r.Per100()
			rate, interval = strconv.Itoa(at), fmt.Sprintf("%d to %d", low, high)
		}
		b.rows = append(b.rows, []string{name, r.Count.String(), rate, interval, sampleWords(r.Count), note})
	}
	for _, r := range s.Headline.Rates() {
		row(r.Name, r.Rate)
		if r.Name == "pressure" {
			row("pressure, per play", s.PlayPressure)
		}
	}
	return b
}

func groupsBlock(table breakdown) block {
	b := block{columns: []column{
		{title: "by " + table.Key, least: 12},
		{title: "reps", right: true},
		{title: "won", right: true},
		{title: "per 100"},
		{title: "pressure", right: true},
		{title: "per 100"},
		{title: "sack", right: true},
		{title: "sample"},
	}}
	for _, g := range table.Groups {
		b.rows = append(b.rows, groupRow(g))
	}
	return b
}

func groupRow(g stats.Group) []string {
	row := []string{g.Name, strconv.Itoa(g.Reps)}
	for _, r := range shownRates(g) {
		row = append(row, r.Count.String(), rateWords(r.Count))
	}
	return append(row, g.Sack.String(), sampleWords(g.Won.Count))
}

func outcomesBlock(outcomes []stats.Part) block {
	b := block{columns: []column{{title: "by outcome"}, {title: "reps", right: true}}}
	for _, part := range outcomes {
		b.rows = append(b.rows, []string{part.Name, strconv.Itoa(part.Reps)})
	}
	return b
}

// shownRates is the rates that a row of groups shows with their intervals.
func shownRates(g stats.Group) []stats.Rate { return []stats.Rate{g.Won, g.Pressure} }

// groupRates is how many rates with an interval rows of groups show.
func groupRates(groups []stats.Group) int {
	n := 0
	for _, g := range groups {
		n += enough(shownRates(g)...)
	}
	return n
}

// ratesSheet is every rate, a row each.
func ratesSheet(result ratesResult) sheet {
	s := result.Summary
	out := sheet{heading: []string{"by", "group", "reps", "rate", "k", "n", "unknown", "share", "low", "high"}}
	row := func(key, group string, reps int, name string, r stats.Rate) {
		out.add(append([]any{key, group, reps, name}, rateCells(r)...)...)
	}
	for _, table := range append([]breakdown{{stats.All, []stats.Group{s.Headline}}, {"matchup", s.Matchups}}, result.By...) {
		for _, g := range table.Groups {
			for _, r := range g.Rates() {
				row(table.Key, g.Name, g.Reps, r.Name, r.Rate)
			}
		}
		if table.Key == stats.All {
			row("all", "plays", s.PlayPressure.N+s.PlayPressure.Unknown, "pressure", s.PlayPressure)
		}
	}
	for _, part := range s.Outcomes {
		out.add("outcome", part.Name, part.Reps, nil, nil, nil, nil, nil, nil, nil)
	}
	return out
}
