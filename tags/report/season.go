package report

import (
	"cmp"
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// weekRow is the reps of one date in one group.
type weekRow struct {
	by, group string
	stats.Week
}

var weekColumns = columns[weekRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r weekRow) any { return r.by }},
	{Column{Key: "group", Doc: "Which reps the row is of."}, func(r weekRow) any { return r.group }},
	{Column{Key: "date", Doc: "Date of the games, year first."}, func(r weekRow) any { return r.Date }},
	{Column{Key: "opponents", Title: "against", Doc: "Whom they played that date.", Least: 8, Fold: true}, func(r weekRow) any {
		return strings.Join(r.Opponents, ", ")
	}},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps that count in rates."}, func(r weekRow) any { return r.Reps }},
	{Column{Key: "won", Kind: Rate, Unit: "reps", Doc: "Battles won against the blocker; a hold he drew counts as won."}, func(r weekRow) any { return r.Won }},
	{Column{Key: "pressure", Kind: Rate, Unit: "reps", Doc: "Reps with an outcome that counts as pressure."}, func(r weekRow) any { return r.Pressure }},
	{Column{Key: "beat-in-time", Title: "in time", Kind: Rate, Unit: "reps", Doc: "Reps on which he beat his blocker within the staff's limit and before the ball was out."}, func(r weekRow) any { return r.BeatInTime }},
}

// growthRow is how one rate of a group grew.
type growthRow struct {
	by, group string
	stats.Growth
}

// trend is a figure of the trend of a row; nil where there is none.
func trend(of func(stats.Trend) any) func(growthRow) any {
	return given(func(r growthRow) *stats.Trend { return r.Trend }, of)
}

var growthColumns = columns[growthRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r growthRow) any { return r.by }},
	{Column{Key: "group", Doc: "Which reps the row is of."}, func(r growthRow) any { return r.group }},
	{Column{Key: "rate", Doc: "Which rate."}, func(r growthRow) any { return r.Rate }},
	{Column{Key: "dates", Kind: Number, Unit: "dates", Doc: "Dates on which it is known."}, func(r growthRow) any { return r.Dates }},
	{Column{Key: "rise", Kind: Interval, Unit: "share", Doc: "By how much it rose from the first date to the last, along a straight line."}, trend(func(t stats.Trend) any {
		return Estimate{&t.Rise, &t.Low, &t.High}
	})},
	{Column{Key: "chi-square", Kind: Decimal, Doc: "Square of the slope over its standard error, by how much dates differ."}, trend(func(t stats.Trend) any { return new(t.ChiSquare) })},
	{Column{Key: "p", Kind: Decimal, Doc: "How often chance alone makes as steep a line."}, trend(func(t stats.Trend) any { return new(t.P) })},
	{Column{Key: "sentence", Doc: "What that lets one say."}, func(r growthRow) any { return r.Sentence() }},
}

func seasonTable(r *Request) (Table, error) {
	t := Table{
		Title: "week by week, and whether it grew",
		Who:   r.scope().CountedWords(),
		Lead:  []string{"A row is the games of one date. In time is blockers beaten within the limit and before the ball was out."},
	}
	var weeks []weekRow
	var growths []growthRow
	add := func(by string, s stats.Season) {
		if len(s.Weeks) == 0 {
			return
		}
		var rows []weekRow
		for _, w := range s.Weeks {
			rows = append(rows, weekRow{by, s.Name, w})
		}
		b := weekColumns.block(rows, pick{key: "date"}, pick{key: "opponents"}, pick{key: "won", as: joined}, pick{key: "pressure", as: joined}, pick{key: "beat-in-time", as: joined}, pick{key: "won", as: sample, with: []string{"pressure", "beat-in-time"}})
		if by != stats.All {
			b.Rows = append([][]string{{by + " " + s.Name}}, b.Rows...)
		}
		for _, g := range s.Growth {
			growths = append(growths, growthRow{by, s.Name, g})
			if g.Trend != nil {
				t.comparisons++
			}
		}
		b.Said = growthWords(s.Growth)
		weeks, t.Blocks = append(weeks, rows...), append(t.Blocks, b)
	}
	add(stats.All, r.scope().Seasons(r.Reps, nil)[0])
	if r.ByAsked {
		for _, f := range r.By {
			for _, s := range r.seasonsBy(f) {
				add(f.Name, s)
			}
		}
	}
	t.Grids = []Grid{weekColumns.grid("", weeks), growthColumns.grid("growth", growths)}
	if len(t.Blocks) == 0 {
		t.Lead = append(t.Lead, noneCount)
	} else {
		t.Notes = append(t.Notes, "Trends are of each rate, by date (a straight line, with its 95 % interval by how much dates differ); whom they played may alone make one.")
	}
	return t, nil
}

// seasonsBy is the weeks of each group by a fact.
func (r *Request) seasonsBy(f query.Fact) []stats.Season {
	groups := r.scope().Seasons(r.Reps, f.Groups)[1:] // the first is of all
	return inSteps(f, groups, func(s stats.Season) string { return s.Name })
}

// growthWords is what the weeks say of growth, rate by rate; of all at once where they say
// the same of each.
func growthWords(of []stats.Growth) []string {
	var said []string
	same := true
	for _, g := range of {
		said = append(said, tags.Capital(g.Rate)+": "+g.Sentence())
		same = same && g.Sentence() == of[0].Sentence()
	}
	if same {
		return []string{tags.Capital(of[0].Sentence())}
	}
	return said
}

var seasonOf = []string{"won", "pressure", "beat-in-time"}

// seasonChart is one rate, week by week, of all and of the groups of Request.By.
func seasonChart(r *Request, of string) (Chart, error) {
	of = cmp.Or(of, seasonOf[0])
	c := Weeks{Title: tags.Capital(tags.Spoken(of)) + ", week by week", Lines: r.chartLines()}
	var said []string
	figures := 0
	add := func(name, group string, s stats.Season) {
		weeks := WeeksOf{Name: name}
		for _, w := range s.Weeks {
			rate := stats.ShareOf(strings.Join(w.Opponents, ", "), rateOf(stats.Group{Won: w.Won, Pressure: w.Pressure, BeatInTime: w.BeatInTime}, of))
			if w.Date == stats.NotTagged {
				said = append(said, fmt.Sprintf("%s: %s with no date, which have no place on the line.", tags.Capital(name), rate.Count))
				continue
			}
			if rate.Bar {
				figures++
			}
			weeks.Weeks = append(weeks.Weeks, DatedShare{Date: w.Date, Share: rate})
		}
		c.Groups = append(c.Groups, weeks)
		for _, g := range s.Growth {
			if g.Rate != tags.Spoken(of) {
				continue
			}
			if g.Trend != nil {
				figures++
			}
			said = append(said, tags.Capital(strings.TrimSpace(group+" "+g.Rate))+": "+g.Sentence())
		}
	}
	by := r.By
	if !r.ByAsked {
		by = nil
		if s := r.scope().Seasons(r.Reps, nil)[0]; len(s.Weeks) > 0 {
			add(tags.Spoken(of), "", s)
		}
	}
	for i, f := range by {
		c.Title += ", by " + f.Name
		for _, s := range r.seasonsBy(f) {
			name := keyed(by, i, s.Name)
			add(name, name, s)
		}
	}
	c.Small = append(said, chartSmall(r.scope().CountedWords(), figures)...)
	return c, nil
}
