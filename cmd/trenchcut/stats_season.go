package main

import (
	"cmp"
	"context"
	"strings"

	"trenchcut/pipeline/draw"
	"trenchcut/tags/stats"
)

const seasonTable = "season"

// seasonsBy is the weeks of reps grouped by one fact.
type seasonsBy struct {
	Key    string         `json:"key"`
	Groups []stats.Season `json:"groups"`
}

func seasonView(_ context.Context, in *statsInput) (statsView, error) {
	v := statsView{
		title: "week by week, and whether it grew",
		who:   stats.SeasonsWords,
		lead:  []string{"A row is the games of one date. Median is of the time to beat, in seconds; a ? is more than this film shows."},
		sheet: sheet{heading: append(append(append([]string{"by", "group", "date", "opponents", "reps"}, rateHeading("won")...), rateHeading("pressure")...),
			"watched", "median", "median-low", "median-high")},
	}
	result := []seasonsBy{{stats.All, stats.Seasons(in.reps, nil)}}
	if in.byAsked {
		for _, f := range in.by {
			// All of them stand above already.
			result = append(result, seasonsBy{f.Name, stats.Seasons(in.reps, valuesOf(f))[1:]})
		}
	}
	v.result = result
	for _, by := range result {
		for _, s := range by.Groups {
			v.addSeason(by.Key, s)
		}
	}
	if len(v.blocks) == 0 {
		v.lead = append(v.lead, "None of the chosen reps counts.")
	} else {
		v.notes = append(v.notes, "Trends are of wins and of pressures, by date (test of Cochran and Armitage, with its 95 % interval); whom they played may alone make one.")
	}
	return v, nil
}

// addSeason shows the weeks of one group, and what they say of growth.
func (v *statsView) addSeason(key string, s stats.Season) {
	if len(s.Weeks) == 0 {
		return
	}
	b := block{columns: []column{
		{title: "date"},
		{title: "against", least: 11, fold: true},
		{title: "won", right: true},
		{title: "per 100"},
		{title: "pressure", right: true},
		{title: "per 100"},
		{title: "median (95 %)"},
		{title: "sample", spare: 1},
	}}
	if key != stats.All {
		b.rows = append(b.rows, []string{key + " " + s.Name})
	}
	for _, w := range s.Weeks {
		opponents, median := strings.Join(w.Opponents, ", "), ""
		if w.Watches >= stats.Enough {
			median = medianWords(w.Median)
			if w.Median.At != nil || w.Median.Low != nil {
				v.rates++
			}
		}
		v.rates += enough(w.Won, w.Pressure)
		b.rows = append(b.rows, []string{
			w.Date, opponents, countWords(w.Won.Count), rateWords(w.Won.Count), countWords(w.Pressure.Count), rateWords(w.Pressure.Count),
			median, sampleWords(w.Won.Count),
		})
		cells := append(append([]any{key, s.Name, w.Date, opponents, w.Reps}, rateCells(w.Won)...), rateCells(w.Pressure)...)
		v.sheet.add(append(cells, w.Watches, secondsCell(w.Median.At), secondsCell(w.Median.Low), secondsCell(w.Median.High))...)
	}
	for _, g := range s.Growth {
		if g.Trend != nil {
			v.comparisons++
		}
	}
	b.said = growthWords(s.Growth)
	v.blocks = append(v.blocks, b)
}

// growthWords is what the weeks say of growth, rate by rate; of all at once where they say
// the same of each.
func growthWords(of []stats.Growth) []string {
	var said []string
	same := true
	for _, g := range of {
		said = append(said, capital(g.Rate)+": "+g.Sentence())
		same = same && g.Sentence() == of[0].Sentence()
	}
	if same {
		return []string{capital(of[0].Sentence())}
	}
	return said
}

// seasonChart is one rate, week by week, of all and of the groups of --by.
func seasonChart(in *statsInput, of string) (chart, error) {
	of = cmp.Or(of, chartsOf[seasonTable][0])
	c := draw.Rates{Title: capital(of) + ", week by week", Lines: in.chartLines(), AsGiven: true}
	var said []string
	trends := 0
	add := func(group string, s stats.Season) {
		for _, w := range s.Weeks {
			name := strings.TrimSpace(group + " " + w.Date)
			if len(w.Opponents) > 0 {
				name += " " + strings.Join(w.Opponents, ", ")
			}
			c.Shares = append(c.Shares, shareOf(name, rateOf(stats.Group{Won: w.Won, Pressure: w.Pressure}, of)))
		}
		for _, g := range s.Growth {
			if g.Rate != of {
				continue
			}
			if g.Trend != nil {
				trends++
			}
			said = append(said, capital(strings.TrimSpace(group+" "+g.Rate))+": "+g.Sentence())
		}
	}
	by := in.by
	if !in.byAsked {
		by = nil
		add("", stats.Seasons(in.reps, nil)[0])
	}
	for i, f := range by {
		c.Title += ", by " + f.Name
		for _, s := range stats.Seasons(in.reps, valuesOf(f))[1:] {
			add(keyed(by, i, s.Name), s)
		}
	}
	c.Small = append(said, chartSmall(stats.CountedWords, intervals(c.Shares)+trends)...)
	return c, nil
}
