package report

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// getoffRow is the get-off of one group of reps by a key.
type getoffRow struct {
	by string
	stats.GetOff
}

var getoffColumns = append(columns[getoffRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r getoffRow) any { return r.by }},
}, lift(getoffGroupColumns, func(r getoffRow) stats.GetOff { return r.GetOff })...)

var getoffGroupColumns = columns[stats.GetOff]{
	{Column{Key: "group", Doc: "Which reps the row is of; all is every rep.", Least: 8, Fold: true}, func(g stats.GetOff) any { return g.Name }},
	{Column{Key: "marked", Kind: Number, Unit: "reps", Doc: "Reps with snap and get-off marked."}, func(g stats.GetOff) any { return g.N }},
	{Column{Key: "unmarked", Kind: Number, Unit: "reps", Doc: "Reps without."}, func(g stats.GetOff) any { return g.Unmarked }},
	{Column{Key: "mean", Title: "mean (95 %)", Kind: Interval, Unit: "s", Doc: "Mean time from the snap to his first movement.", words: millisWords}, func(g stats.GetOff) any {
		return Estimate{g.Mean, g.Low, g.High}
	}},
	{Column{Key: "sd", Kind: Decimal, Unit: "s", Doc: "Standard deviation of the times."}, func(g stats.GetOff) any { return g.SD }},
	{Column{Key: "spread", textOnly: true, Kind: Number}, func(g stats.GetOff) any {
		if g.SD == nil {
			return nil
		}
		return stats.Rounded(1000 * *g.SD)
	}},
	{Column{Key: "sample", textOnly: true}, func(g stats.GetOff) any { return spreadWords(g.Spread) }},
	{Column{Key: "half-frame", Kind: Decimal, Unit: "s", Doc: "Half a frame of the film: how far from the truth a mark may be."}, func(g stats.GetOff) any { return g.Frame }},
	{Column{Key: "against-others", Title: "against the others", Kind: Interval, Unit: "s", Doc: "Its mean less that of all other reps, each man held against men of his own position; empty where there are too few.", words: signedWords(1000, 0)}, func(g stats.GetOff) any {
		if g.Gap == nil {
			return nil
		}
		return Estimate{&g.Gap.D, &g.Gap.Low, &g.Gap.High}
	}},
}

// spreadWords says how little a mean says.
func spreadWords(s stats.Spread) string {
	switch {
	case s.N == 0:
		return "none"
	case s.Mean == nil:
		return "too few"
	default:
		return strings.TrimSuffix(s.Hedge(), " sample")
	}
}

// millisWords is seconds as milliseconds: "197 (172-222)".
func millisWords(e Estimate) string {
	if e.At == nil {
		return ""
	}
	return rounded(e, 1000)
}

func getoffTable(r *Request) (Table, error) {
	t := Table{Title: "from the snap to his first movement, in milliseconds", Who: stats.GetOffWords, Lead: []string{"Against the others: each man is held against men of his own position, and where they have too few reps there is nothing."}}
	var all stats.GetOff
	var rows []getoffRow
	var same []string
	for i, f := range r.getoffBy() {
		offs := stats.GetOffs(r.Reps, f.Groups, r.frameRate())
		all = offs[0]
		inSteps(f, offs[1:], func(g stats.GetOff) string { return g.Name })
		if i > 0 {
			offs = offs[1:] // all of them stand above already
		}
		if same == nil {
			same = saidOfSame(offs)
		}
		var told []getoffRow
		for _, g := range offs {
			told = append(told, getoffRow{f.Name, g})
		}
		rows = append(rows, told...)
		if all.N == 0 {
			continue
		}
		b := getoffColumns.block(told, pick{key: "group", title: byTitle(f.Name)}, pick{key: "marked"}, pick{key: "unmarked"}, pick{key: "mean"}, pick{key: "spread"},
			pick{key: "against-others"}, pick{key: "sample"})
		// A group against the others is a comparison of two groups, not a figure of one.
		for _, g := range told {
			if g.Gap != nil {
				b.figures--
				b.comparisons++
			}
		}
		t.Blocks = append(t.Blocks, b)
	}
	t.Grids = []Grid{getoffColumns.grid("", rows)}
	t.Lead = append(t.Lead, same...)
	if all.NoPosition > 0 {
		t.Lead = append(t.Lead, fmt.Sprintf("Of %s his position is not tagged: such men are held against one another.", tags.Count(all.NoPosition, "rep")))
	}
	switch {
	case all.N == 0:
		t.Notes = []string{fmt.Sprintf("No get-off is marked: %s without.", tags.Count(all.Unmarked, "rep"))}
	case all.Frame == nil:
		t.Notes = []string{"A mark is good to half a frame of film; the film of some of these reps was not found, so how much that is cannot be told."}
	default:
		t.Notes = []string{fmt.Sprintf("A mark is good to half a frame of film, so the get-off of one rep, which takes two, to %.0f ms; a mean of many is better than that, unless whoever marks is early or late by habit.", 2000**all.Frame)}
	}
	return t, nil
}

// getoffBy is the keys that get-offs are told by: by rusher where none is asked for.
func (r *Request) getoffBy() []query.Fact {
	if r.ByAsked {
		return r.By
	}
	f, _ := r.Query.Registry().Find("rusher")
	return []query.Fact{f}
}

// getoffChart is every rusher's reps against those of all.
func getoffChart(r *Request, _ string) (Chart, error) {
	offs := stats.GetOffs(r.Reps, stats.Rusher, func(*tags.Rep) tags.Rate { return tags.Rate{} }) // frames are not drawn
	c := Strip{Title: "Get-off", Lines: append(r.chartLines(), "Seconds from the snap to his first movement")}
	all := offs[0]
	if all.Mean != nil {
		c.Group = Group{Name: "all, mean ± spread", Low: *all.Mean - *all.SD, Mean: *all.Mean, High: *all.Mean + *all.SD}
	}
	for _, g := range offs[1:] {
		row := StripRow{Name: g.Name, Times: g.Times}
		if g.Mean != nil {
			row.Mean = *g.Mean
		}
		if g.N > 0 {
			c.Rows = append(c.Rows, row)
		}
	}
	c.Small = chartSmall(stats.GetOffWords, 0)
	if all.Unmarked > 0 {
		c.Small = append(c.Small, tags.Count(all.Unmarked, "rep")+" with no get-off marked.")
	}
	return c, nil
}

// getoffAgainst is the get-off of two sides as text, the gap told once.
func getoffAgainst(sides [2]stats.GetOff) Block {
	sides[1].Gap = nil
	b := getoffGroupColumns.block(sides[:], pick{key: "group", title: "get-off, ms"}, pick{key: "marked"}, pick{key: "mean"}, pick{key: "spread"},
		pick{key: "against-others", title: "less the other side"})
	if sides[0].Gap != nil {
		b.figures-- // it compares two
	}
	b.Said = []string{"Get-off counts " + stats.GetOffWords + "."}
	b.Said = append(b.Said, saidOfSame(sides[:])...)
	return b
}

// saidOfSame says what a ? is, where one of get-offs has one.
func saidOfSame(offs []stats.GetOff) []string {
	if slices.ContainsFunc(offs, func(g stats.GetOff) bool { return g.Mean != nil && g.Low == nil }) {
		return []string{sameTimes}
	}
	return nil
}
