package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// againstPage is two choices side by side.
type againstPage struct {
	stats.Versus
	sides   [2]againstSide
	common  string   // what both ask for, in words
	notHeld []string // what only one of the two asks for
}

// againstSide is one of the choices.
type againstSide struct {
	asked   string
	reps    int
	unknown query.Unjudged
}

func (o *statsOptions) compare(season *tags.Season, first *query.Query) error {
	second, err := query.Parse(o.against, o.choose.where, season.Vocabulary, season)
	if err != nil {
		return err
	}
	var page againstPage
	var reps [2][]*tags.Rep
	for i, q := range []*query.Query{first, second} {
		chosen := q.Reps(season)
		if len(chosen.Reps) == 0 && !o.json && !o.csv {
			return o.printNone(q, season)
		}
		reps[i] = chosen.Reps
		page.sides[i] = againstSide{q.String(), len(chosen.Reps), chosen.Unjudged}
	}
	nameA, nameB, common := apart(first.String(), second.String())
	page.Versus, page.common = stats.Against(nameA, reps[0], nameB, reps[1]), common
	page.notHeld = notHeld(o.choose.terms, o.against)
	switch {
	case o.chart.files != nil:
		what := fmt.Sprintf("%s, %d against %s", o.tables[0], len(reps[0]), plural(len(reps[1]), "rep"))
		return o.writeCharts(page.chart(o.tables[0], season.Vocabulary.Limit), what)
	case o.json:
		return page.printJSON(o.Out)
	case o.csv:
		return page.sheet().printCSV(o.Out)
	default:
		return page.print(o.Out)
	}
}

// apart is two choices in words without the words that they have in common, and those.
func apart(first, second string) (a, b, common string) {
	const between = ", "
	mine, theirs := strings.Split(first, between), strings.Split(second, between)
	both := func(word string) bool { return slices.Contains(mine, word) && slices.Contains(theirs, word) }
	only := func(words []string) string {
		return strings.Join(slices.DeleteFunc(slices.Clone(words), both), between)
	}
	a, b = only(mine), only(theirs)
	if a == "" || b == "" {
		return first, second, ""
	}
	return a, b, strings.Join(slices.DeleteFunc(mine, func(word string) bool { return !slices.Contains(theirs, word) }), between)
}

// notHeld is the keys that one side asks for and the other does not, where the sides ask
// for one in common: what differs then is more than what was meant to be compared.
func notHeld(first, second []string) []string {
	keys := func(terms []string) (keys []string) {
		for _, t := range terms {
			if at := strings.IndexAny(t, "=!<>"); at >= 0 {
				t = t[:at]
			}
			keys = append(keys, t)
		}
		return keys
	}
	a, b := keys(first), keys(second)
	common := func(key string) bool { return slices.Contains(a, key) && slices.Contains(b, key) }
	if !slices.ContainsFunc(a, common) {
		return nil
	}
	return slices.DeleteFunc(slices.Concat(a, b), common)
}

func (p againstPage) print(w io.Writer) error {
	width := outWidth(w)
	names := [2]string{p.First.Name, p.Second.Name}
	groups := [2]stats.Group{p.First, p.Second}
	for i, side := range p.sides {
		said := fmt.Sprintf("%s: %s, %d of them in the rates%s.", side.asked, plural(side.reps, "rep"), groups[i].Reps, unjudgedWords(side.unknown))
		if i == 1 {
			said = "against " + said
		}
		if err := printWrapped(w, width, said); err != nil {
			return err
		}
	}
	var paragraphs []string
	if p.common != "" {
		paragraphs = append(paragraphs, fmt.Sprintf("Both sides: %s.", p.common))
	}
	paragraphs = append(paragraphs, "Who counts: "+stats.CountedWords+".")
	if p.Both > 0 {
		paragraphs = append(paragraphs, fmt.Sprintf("%s on both sides, which blurs what tells them apart.", plural(p.Both, "rep")))
	}
	if len(p.notHeld) > 0 {
		paragraphs = append(paragraphs, fmt.Sprintf("Only one side asks for %s: name it on both, or the gap may be its doing.", orList(p.notHeld)))
	}
	for _, text := range paragraphs {
		if err := printWrapped(w, width, text); err != nil {
			return err
		}
	}
	if p.First.Reps == 0 || p.Second.Reps == 0 {
		return printWrapped(w, width, "One side has no rep that counts: nothing to compare.")
	}
	var rows [][]string
	atTheEdge := false
	for _, c := range p.Rates {
		gap, chance := "", ""
		if d := c.Difference; d != nil {
			gap = fmt.Sprintf("%+.0f (%+.0f to %+.0f)", 100*d.D, 100*d.Low, 100*d.High)
			chance = chanceWords(d.P)
			atTheEdge = atTheEdge || (d.Low > 0 || d.High < 0) != (d.P < 0.05)
		}
		rows = append(rows, []string{c.Name, withRate(c.First), withRate(c.Second), gap, chance, sampleWords(fewer(c.First, c.Second))})
	}
	fmt.Fprintln(w)
	err := printTable(w, width, []column{
		{title: "rate"},
		{title: short(names[0]), least: 12},
		{title: short(names[1]), least: 12},
		{title: "gap per 100"},
		{title: "p"},
		{title: "sample"},
	}, rows)
	if err != nil {
		return err
	}
	fmt.Fprintln(w)
	if err := printWrapped(w, width, p.sentence()); err != nil {
		return err
	}
	if atTheEdge {
		const edge = "An interval without 0 beside a p over 0.05, or the other way round: counts at the edge, of which two good methods say two things. More film decides."
		if err := printWrapped(w, width, edge); err != nil {
			return err
		}
	}
	if err := p.printTimes(w, width); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return printWrapped(w, width, manyComparisons(p.Comparisons()))
}

// sentence is what a coach can repeat, of the rate that says most of him against his
// blocker.
func (p againstPage) sentence() string {
	for _, c := range p.Rates {
		if c.First.N > 0 && c.Second.N > 0 {
			return c.Sentence(p.First.Name)
		}
	}
	return "Neither battle nor outcome is tagged on both sides."
}

func (p againstPage) printTimes(w io.Writer, width int) error {
	v := statsView{}
	v.addTimes(timesBy{Key: "time to beat", Groups: []stats.Timing{p.Time.First, p.Time.Second}})
	for _, b := range v.blocks[:2] {
		b.columns[0].title = strings.TrimPrefix(b.columns[0].title, "by ")
		if len(b.rows) == 0 {
			continue
		}
		fmt.Fprintln(w)
		if err := printTable(w, width, b.columns, b.rows); err != nil {
			return err
		}
	}
	fmt.Fprintln(w)
	return printWrapped(w, width, p.logRankWords()+" In times, ball out too soon counts with the rest: it ends the watch.")
}

func (p againstPage) logRankWords() string {
	if t := p.Time.Test; t != nil {
		return fmt.Sprintf("Log-rank test over the whole rush: %d beaten where %.1f would be were both alike; p %s.", t.Observed, t.Expected, chanceWords(t.P))
	}
	return "Log-rank test over the whole rush: too few to compare."
}

// manyComparisons says how many were made, and what chance makes of so many.
func manyComparisons(n int) string {
	switch n {
	case 0:
		return "No comparison was made."
	case 1:
		return "1 comparison was made. Of two sides that are alike, 1 in 20 shows a p under 0.05 by chance alone."
	default:
		return fmt.Sprintf("%d comparisons were made. Of sides that are alike, about 1 comparison in 20 shows a p under 0.05 by chance alone: decide before you look which one counts.", n)
	}
}

// chanceWords is a p, no finer than it means anything.
func chanceWords(p float64) string {
	switch {
	case p < 0.001:
		return "<0.001"
	case p > 0.995:
		return "1"
	case p < 0.1:
		return fmt.Sprintf("%.3f", p)
	default:
		return fmt.Sprintf("%.2f", p)
	}
}

// fewer is the count with the fewer reps.
func fewer(a, b stats.Count) stats.Count {
	if b.N < a.N {
		return b
	}
	return a
}

// short is a choice as the title of a column.
func short(name string) string {
	const most = 18
	if runes := []rune(name); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return name
}

func (p againstPage) printJSON(w io.Writer) error {
	return printJSON(w, object{
		{"asked", p.sides[0].asked},
		{"could-not-judge", p.sides[0].unknown.Unknown},
		{"against", p.sides[1].asked},
		{"against-could-not-judge", p.sides[1].unknown.Unknown},
		{"who-counts", stats.CountedWords},
		{"comparisons", p.Comparisons()},
		{"sentence", p.sentence()},
		{"versus", p.Versus},
	})
}

func (p againstPage) sheet() sheet {
	s := sheet{heading: append(append(append([]string{"rate"}, rateHeading("first")...), rateHeading("against")...), "difference", "difference-low", "difference-high", "p")}
	second := p.Second.Rates()
	for i, r := range p.First.Rates() {
		var gap, low, high, chance any
		if d := p.Rates[i].Difference; d != nil {
			gap, low, high, chance = d.D, d.Low, d.High, d.P
		}
		s.add(append(append(append([]any{r.Name}, rateCells(r.Rate)...), rateCells(second[i].Rate)...), gap, low, high, chance)...)
	}
	return s
}
