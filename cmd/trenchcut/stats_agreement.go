package main

import (
	"context"
	"fmt"
	"strconv"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// agreementHelp says how a second opinion is written.
const agreementHelp = `Two people may tag the same game, each in a file of its own with the same game
id: the second says who, "game: {id: wk1-harbor, by: Ruiz}". What he says counts
in the table agreement alone. The file with no by is first, else the first by
name.`

func agreementView(ctx context.Context, in *statsInput) (statsView, error) {
	chosen := map[*tags.Rep]bool{}
	for _, reps := range [][]*tags.Rep{in.reps, in.query.Reps(&tags.Season{Games: in.season.Second, Vocabulary: in.season.Vocabulary}).Reps} {
		for _, r := range reps {
			chosen[r] = true
		}
	}
	result := stats.Agreements(in.season, func(r *tags.Rep) bool { return chosen[r] }, in.filmRates(ctx))
	if ctx.Err() != nil {
		return statsView{}, ctx.Err()
	}
	v := statsView{
		title: "how far two people who tagged the same reps say the same",
		who:   stats.AgreementWords,
		lead: []string{
			"The file with no by is first, else the first by name; only what the first says counts in other tables, in find and in reels. A rep is the same by game, play and jersey.",
		},
		result: result,
		sheet: sheet{heading: append(append([]string{"first", "second", "what", "unit", "both", "one"}, rateHeading("alike")...),
			"kappa", "kappa-se", "kappa-low", "kappa-high", "gap", "gap-low", "gap-high", "gap-sd", "limit-low", "limit-high")},
	}
	if len(result) == 0 {
		v.lead = append(v.lead, "No game here has a second opinion: trenchcut stats --help tells how to write one.")
		return v, nil
	}
	for _, a := range result {
		v.addAgreement(a)
	}
	v.notes = []string{
		"Differ most: the first's word / the second's, and on how many reps. Where one is silent, nothing is compared.",
		"Kappa is agreement past what chance would give people who use each word as often as these do: 1 is all, 0 no more than chance. It is low, too, where nearly all reps have one word. With a ? they agree in all, and how sure that is, per 100 tells.",
		"Gap: the second's time less the first's. Limits: 95 % of gaps lie between them; a difference between two reps smaller than that may be who marked it.",
	}
	return v, nil
}

func (v *statsView) addAgreement(a stats.Agreement) {
	first, second := byWords(a.First), byWords(a.Second)
	v.blocks = append(v.blocks, block{
		columns: []column{
			{title: plural(a.Games, "game"), least: 12, fold: true},
			{title: "reps", right: true},
			{title: "on plays of one only", right: true},
		},
		rows: [][]string{
			{"both tagged", strconv.Itoa(a.Both), ""},
			{"only first: " + first, strconv.Itoa(a.OnlyFirst), strconv.Itoa(a.FirstPlays)},
			{"only second: " + second, strconv.Itoa(a.OnlySecond), strconv.Itoa(a.SecondPlays)},
		},
	})
	row := func(what, unit string, both, one int, rest ...any) {
		cells := append([]any{a.First, a.Second, what, unit, both, one}, rest...)
		v.sheet.add(append(cells, make([]any, len(v.sheet.heading)-len(cells))...)...)
	}
	row("reps", "", a.Both, a.OnlyFirst+a.FirstPlays+a.OnlySecond+a.SecondPlays)
	words := block{columns: []column{
		{title: "what"},
		{title: "alike", right: true},
		{title: "per 100"},
		{title: "kappa (95 %)"},
		{title: "one silent", right: true},
		{title: "differ most", least: 16, fold: true},
		{title: "sample"},
	}}
	for _, w := range a.Words {
		apart := ""
		if len(w.Apart) > 0 {
			d := w.Apart[0]
			apart = fmt.Sprintf("%s / %s %d", d.First, d.Second, d.Reps)
		}
		words.rows = append(words.rows, []string{
			w.Key, countWords(w.Alike.Count), rateWords(w.Alike.Count), kappaWords(w.Kappa),
			strconv.Itoa(w.Alike.Unknown), apart, sampleWords(w.Alike.Count),
		})
		v.rates += enough(w.Alike)
		if w.Kappa.Low != nil {
			v.rates++
		}
		k := w.Kappa
		row(w.Key, "", w.Alike.N, w.Alike.Unknown, append(rateCells(w.Alike), known(k.At), known(k.SE), known(k.Low), known(k.High))...)
	}
	times := block{columns: []column{
		{title: "when"},
		{title: "both", right: true},
		{title: "one", right: true},
		{title: "gap (95 %)"},
		{title: "spread", right: true},
		{title: "limits"},
		{title: "sample"},
	}}
	for _, t := range a.Times {
		v.addGap(&times, row, t, "s", "%.2f", t.Seconds)
		if t.Frames != nil {
			v.addGap(&times, row, t, "frames", "%.1f", *t.Frames)
		}
	}
	v.blocks = append(v.blocks, words, times)
}

// addGap shows how far marks lie apart, in one unit and so many places.
func (v *statsView) addGap(b *block, row func(string, string, int, int, ...any), t stats.TimesAlike, unit, places string, a stats.Apart) {
	gap, spread, limits := "", "", ""
	if a.Mean != nil {
		signed := "%+" + places[1:]
		gap = fmt.Sprintf(signed+" ("+signed+" to "+signed+")", *a.Mean, *a.Low, *a.High)
		spread = fmt.Sprintf(places, *a.SD)
		limits = fmt.Sprintf(signed+" to "+signed, *a.LimitLow, *a.LimitHigh)
		v.rates++
	}
	b.rows = append(b.rows, []string{
		fmt.Sprintf("%s, %s", t.Mark, unit), strconv.Itoa(a.N), strconv.Itoa(t.One), gap, spread, limits, sampleWords(stats.Count{N: a.N}),
	})
	cells := make([]any, 10, 16) // a rate's and a kappa's, which times have not
	row(string(t.Mark), unit, a.N, t.One, append(cells, known(a.Mean), known(a.Low), known(a.High), known(a.SD), known(a.LimitLow), known(a.LimitHigh))...)
}

// byWords is who tagged a file.
func byWords(by string) string {
	if by == "" {
		return "the file with no by"
	}
	return by
}

// kappaWords is "0.72 (0.51-0.93)", with what cannot be told left open.
func kappaWords(k stats.Kappa) string {
	switch {
	case k.At == nil:
		return ""
	case k.Low == nil:
		return fmt.Sprintf("%.2f (?)", *k.At)
	default:
		return fmt.Sprintf("%.2f (%.2f to %.2f)", *k.At, *k.Low, *k.High)
	}
}
