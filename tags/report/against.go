package report

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// Against is two choices of reps side by side.
type Against struct {
	Table
	sides  [2]Side
	versus stats.Versus
	common string // what both ask for, in words
}

// Side is one of the choices.
type Side struct {
	Query *query.Query
	Terms []string // that it was asked for by, without those that hold for both
	Reps  []*tags.Rep
	query.Unjudged
}

// scope is whom the rates of the side count.
func (s Side) scope() stats.Scope { return stats.ScopeOf(s.Reps, s.Query.AsksFor("type")) }

func (s Side) half(name string) stats.Half {
	return stats.Half{Set: stats.Set{Name: name, Reps: s.Reps}, Scope: s.scope()}
}

// who says whom the sides count, in the words of their scopes.
func (a Against) who(words func(stats.Scope) string) string {
	first, second := words(a.sides[0].scope()), words(a.sides[1].scope())
	if first == second {
		return first
	}
	return first + "; on the other side, " + second
}

// contrastRow is one rate of both sides.
type contrastRow struct {
	name          string
	first, second stats.Rate
	difference    *stats.Difference
}

func contrastColumns(first, second string) columns[contrastRow] {
	titles := sideTitles(first, second)
	return columns[contrastRow]{
		{Column{Key: "rate", Doc: "Which rate."}, func(r contrastRow) any { return r.name }},
		{Column{Key: "first", Title: titles[0], Kind: Rate, Unit: "reps", Doc: "Of the first side.", Least: 12}, func(r contrastRow) any { return r.first }},
		{Column{Key: "against", Title: titles[1], Kind: Rate, Unit: "reps", Doc: "Of the side it is held against.", Least: 12}, func(r contrastRow) any { return r.second }},
		{Column{Key: "difference", Title: "gap per 100", Kind: Gap, Unit: "share", Doc: "The first rate less the second, with Newcombe's interval and, of fewer than three games, Fisher's exact p; else both are by how much games differ."}, func(r contrastRow) any { return r.difference }},
		{Column{Key: "p", textOnly: true}, func(r contrastRow) any {
			if r.difference == nil {
				return nil
			}
			return chanceWords(r.difference.P)
		}},
		{Column{Key: "sample", textOnly: true, Least: 7, Fold: true}, func(r contrastRow) any {
			return samplesWords([]sampled{{"here", r.first}, {"other", r.second}})
		}},
	}
}

// sideTitles is two choices as the titles of columns, by how they begin or, where that is the
// same, by how they end.
func sideTitles(first, second string) [2]string {
	const most = 18
	short := func(name string, end bool) string {
		runes := []rune(name)
		switch {
		case len(runes) <= most:
			return name
		case end:
			return "…" + string(runes[len(runes)-most+1:])
		default:
			return string(runes[:most-1]) + "…"
		}
	}
	titles := [2]string{short(first, false), short(second, false)}
	if titles[0] == titles[1] {
		titles = [2]string{short(first, true), short(second, true)}
	}
	if titles[0] == titles[1] {
		titles = [2]string{"first", "second"}
	}
	return titles
}

// AgainstOf compares two choices.
func AgainstOf(first, second Side) Against {
	nameA, nameB, common := apart(first.Query.Phrases(), second.Query.Phrases())
	a := Against{sides: [2]Side{first, second}, versus: stats.Against(first.half(nameA), second.half(nameB)), common: common}
	// What would only say what was chosen is left out.
	if a.asksFor(getoffTime) {
		a.versus.GetOff = [2]stats.GetOff{{Name: nameA}, {Name: nameB}}
	}
	if a.asksFor(ballOut) {
		a.versus.Time.Test = nil
	}
	v := a.versus
	a.Table = Table{Name: "against", Title: "two choices side by side", Who: a.who(stats.Scope.CountedWords), Untitled: true}
	if common != "" {
		a.Lead = append(a.Lead, fmt.Sprintf("Both sides: %s.", common))
	}
	a.Lead = append(a.Lead, "Who counts: "+a.Who+".")
	if v.Both > 0 {
		a.Lead = append(a.Lead, fmt.Sprintf("%s on both sides, which blurs what tells them apart.", tags.Count(v.Both, "rep")))
	}
	if keys := notHeld(first.keys(), second.keys()); len(keys) > 0 {
		a.Lead = append(a.Lead, fmt.Sprintf("Only one side asks for %s: name it on both, or the gap may be its doing.", tags.Either(keys)))
	}
	for i, side := range [2]string{"Here: ", "On the other side: "} {
		for _, words := range kindWords(a.sides[i].Query, a.sides[i].Reps) {
			a.Lead = append(a.Lead, side+words)
		}
	}
	a.Lead = append(a.Lead, a.likeWords()...)
	var rows []contrastRow
	for _, r := range v.Rates {
		rows = append(rows, contrastRow{r.Name, r.First, r.Second, r.Difference})
	}
	cs := contrastColumns(nameA, nameB)
	times := []timeRow{{"side", v.Time.First}, {"side", v.Time.Second}}
	holds := []holdRow{{"side", v.Time.FirstHold}, {"side", v.Time.SecondHold}}
	a.Grids = append([]Grid{cs.grid("", rows)}, named("times", timeGrids(times))...)
	if !a.asksFor(ballOut) {
		a.Grids = append(a.Grids, named("holds", holdGrids(holds, ranksOf("side", v.Time.Test)))...)
	}
	a.Grids = append(a.Grids, getoffGroupColumns.grid("getoff", v.GetOff[:]))
	if v.First.Reps == 0 || v.Second.Reps == 0 {
		a.Lead = append(a.Lead, "One side has no rep that counts: nothing to compare.")
		return a
	}
	rates := cs.block(rows, pick{key: "rate"}, pick{key: "first", as: joined}, pick{key: "against", as: joined}, pick{key: "difference"}, pick{key: "p"}, pick{key: "sample"})
	a.Blocks = append([]Block{rates}, timeBlocks("beaten before ball out", times)[:2]...)
	if v.GetOff[0].N+v.GetOff[1].N > 0 {
		a.Blocks = append(a.Blocks, getoffAgainst(v.GetOff))
	}
	a.comparisons = v.Comparisons() - rates.comparisons
	return a
}

// likeWords says what a choice by what was decided during the rush means, and compares like
// with like; nothing where neither side made one.
func (a Against) likeWords() []string {
	var during []string
	for _, s := range a.sides {
		for _, name := range s.Query.DuringTerms() {
			if !slices.Contains(during, name) {
				during = append(during, name)
			}
		}
	}
	if during == nil {
		return nil
	}
	said := []string{duringWords(during)}
	side := map[*tags.Rep][]string{}
	var all []*tags.Rep
	for i, s := range a.sides {
		for _, r := range s.scope().Counted(s.Reps) {
			side[r] = append(side[r], strconv.Itoa(i))
			all = append(all, r)
		}
	}
	if like := stats.Likes(all, func(r *tags.Rep) []string { return side[r] })["0"]; like.Enough() {
		said = append(said, fmt.Sprintf("Like with like, by the same man with the same first move: won %d of %d here; won as often as the other side's they would be %.1f of %d.",
			like.Won, like.Reps, like.Expected, like.Reps))
	} else {
		said = append(said, "Too few on both sides are by the same man with the same first move to compare like with like.")
	}
	return said
}

// named gives the first of grids a name, and begins those of the others with it.
func named(name string, grids []Grid) []Grid {
	grids[0].Name = name
	for i := range grids[1:] {
		grids[i+1].Name = name + "-" + grids[i+1].Name
	}
	return grids
}

// Asked is what each side asks for, and how much there is of it.
func (a Against) Asked() []string {
	groups := [2]stats.Group{a.versus.First, a.versus.Second}
	var said []string
	for i, s := range a.sides {
		said = append(said, fmt.Sprintf("%s: %s, %d of them in the rates%s.", s.Query.Words(), tags.Count(len(s.Reps), "rep"), groups[i].Reps, s.Unjudged.Words()))
	}
	said[1] = "against " + said[1]
	return said
}

// Sentences is what is said behind the first block: the sentence to repeat, and a warning
// where interval and p say two things.
func (a Against) Sentences() []string {
	said := []string{a.sentence()}
	if words := a.howMany(); words != "" {
		said = append(said, words)
	}
	for _, c := range a.versus.Rates {
		if d := c.Difference; d != nil && (d.Low > 0 || d.High < 0) != (d.P < 0.05) {
			return append(said, "An interval without 0 beside a p over 0.05, or the other way round: counts at the edge, of which two good methods say two things. More film decides.")
		}
	}
	return said
}

// sentence is what a coach can repeat, of the rate that says most of him against his
// blocker.
func (a Against) sentence() string {
	for _, c := range a.versus.Rates {
		if c.First.N > 0 && c.Second.N > 0 {
			return c.Sentence(a.versus.First.Name)
		}
	}
	return "Neither battle nor outcome is tagged on both sides."
}

// TimeWords is what is said behind the times: the log-rank test.
func (a Against) TimeWords() string {
	if a.asksFor(ballOut) {
		return "How soon, of rushes still going: not told of reps chosen by ball out."
	}
	if t := a.versus.Time.Test; t != nil {
		said := fmt.Sprintf("How soon, of rushes still going (log-rank test over the whole rush, ball out with the rest): %d beaten where %.1f would be were both alike; p %s.", t.Groups[0].Observed, t.Groups[0].Expected, chanceWords(t.P))
		if first, second := a.versus.Time.FirstHold.WonUnmarked, a.versus.Time.SecondHold.WonUnmarked; first+second > 0 {
			said += fmt.Sprintf(" Left out: wins with no beat marked, %d here and %d there.", first, second)
		}
		return said
	}
	return "How soon, of rushes still going: too few timed, or none beaten, to compare."
}

// Comparisons says how many were made, and what chance makes of so many.
func (a Against) Comparisons() string {
	by := " " + gamesWords(min(stats.Games(a.sides[0].Reps), stats.Games(a.sides[1].Reps)))
	switch n := a.versus.Comparisons(); n {
	case 0:
		return "No comparison was made."
	case 1:
		return "1 comparison was made. Of two sides that are alike, 1 in 20 shows a p under 0.05 by chance alone." + by
	default:
		return fmt.Sprintf("%d comparisons were made. Of sides that are alike, about 1 comparison in 20 shows a p under 0.05 by chance alone: decide before you look which one counts.", n) + by
	}
}

// MarshalJSON writes what both sides ask for, the sentence, and the table.
func (a Against) MarshalJSON() ([]byte, error) {
	return json.Marshal(Object{
		{"asked", a.sides[0].Query.String()},
		{"could-not-judge", a.sides[0].Unknown},
		{"against", a.sides[1].Query.String()},
		{"against-could-not-judge", a.sides[1].Unknown},
		{"comparisons", a.versus.Comparisons()},
		{"in-both", a.versus.Both},
		{"sentence", a.sentence()},
		{"table", a.Table},
	})
}

// Chart is both sides' rates one under the other or, of the table of times, their curves;
// limit is the staff's.
func (a Against) Chart(table string, limit tags.Time) Chart {
	v := a.versus
	title := v.First.Name + " against " + v.Second.Name
	var lines []string
	if a.common != "" {
		lines = append(lines, "Both sides: "+a.common)
	}
	switch table {
	case Times:
		c := Curves{Title: "Beaten before the ball was out: " + title, Lines: lines, Limit: limit.Seconds(), Beaten: true}
		var said []string
		c.Curves, said = incidencesOf([]stats.Timing{v.Time.First, v.Time.Second})
		c.Small = append(chartSmall(a.who(stats.Scope.CountedWords), 0), said...)
		return c
	case Holds:
		c := Curves{Title: "How long blockers would hold: " + title, Lines: lines, Limit: limit.Seconds(), Bands: true}
		said := []string{holdWords, a.TimeWords()}
		c.Curves, said = curvesOf([]stats.Hold{v.Time.FirstHold, v.Time.SecondHold}, said)
		c.Small = append(chartSmall(a.who(stats.Scope.RushesWords), 0), said...)
		return c
	}
	c := Bars{Title: tags.Capital(title), Lines: append(lines, tags.Capital(a.sentence())), AsGiven: true}
	for _, r := range v.Rates {
		c.Shares = append(c.Shares, stats.ShareOf(r.Name+": "+v.First.Name, r.First), stats.ShareOf(r.Name+": "+v.Second.Name, r.Second))
	}
	c.Small = append(chartSmall(a.Who, 0), a.Comparisons())
	return c
}

// apart is two choices, each by what it asks for, without what they have in common, and
// that. Two that would be called the same are the first and the second.
func apart(mine, theirs []string) (a, b, common string) {
	called := func(phrases []string) string { return cmp.Or(strings.Join(phrases, ", "), "everything") }
	shared := func(w string) bool { return slices.Contains(mine, w) && slices.Contains(theirs, w) }
	only := func(phrases []string) []string { return slices.DeleteFunc(slices.Clone(phrases), shared) }
	a, b = called(mine), called(theirs)
	if len(only(mine)) > 0 && len(only(theirs)) > 0 {
		a, b = called(only(mine)), called(only(theirs))
		common = strings.Join(slices.DeleteFunc(slices.Clone(mine), func(w string) bool { return !shared(w) }), ", ")
	}
	if a == b {
		a, b = a+" (first)", b+" (second)"
	}
	return a, b, common
}

// asksFor reports whether a side chooses by a fact.
func (a Against) asksFor(name string) bool {
	return slices.ContainsFunc(a.sides[:], func(s Side) bool { return s.Query.AsksFor(name) })
}

// keys is the facts that the side's own terms ask for, each once.
func (s Side) keys() []string {
	var keys []string
	for _, term := range s.Terms {
		for _, key := range s.Query.Registry().KeysOf(term) {
			if !slices.Contains(keys, key) {
				keys = append(keys, key)
			}
		}
	}
	return keys
}

// notHeld is the keys that one side asks for and the other does not, where the sides ask
// for one in common: what differs then is more than what was meant to be compared.
func notHeld(a, b []string) []string {
	common := func(key string) bool { return slices.Contains(a, key) && slices.Contains(b, key) }
	if !slices.ContainsFunc(a, common) {
		return nil
	}
	return slices.DeleteFunc(slices.Concat(a, b), common)
}
