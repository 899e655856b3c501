package report

import (
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
	"trenchcut/tags/stats/fit"
)

// Chart describes a chart: [Bars], [Points], [Weeks], [Curves], [Strip] or [Portions]. Who draws it
// decides how it looks.
type Chart interface {
	// reworded returns the chart with the lines below its title and the words of its foot as do
	// leaves them.
	reworded(do func(lines, small *[]string)) Chart
}

func (c Bars) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

func (c Points) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

func (c Weeks) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

func (c Curves) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

func (c Strip) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

func (c Portions) reworded(do func(lines, small *[]string)) Chart { do(&c.Lines, &c.Small); return c }

// Bars is rates as bars, the highest on top, with their 95 % intervals and counts. A share
// of fewer than five, or not Bar, is a count alone, below the rest.
type Bars struct {
	Title   string
	Lines   []string // below the title: who counts, of how many
	Small   []string // at the foot: where it is from
	Shares  []stats.Share
	AsGiven bool // keep the order of Shares, where it says more than that of the rates
}

// Points is figures as points on one scale, each with its 95 % interval and what it is counted
// from. A row without a figure is a count alone, below the rest.
type Points struct {
	Title string
	Lines []string
	Small []string
	// Signed says that figures are differences, on a scale with 0 amid it; others are shares,
	// from 0 to 1.
	Signed bool
	Rows   []Point
}

// Point is one figure, of 1: -1 to 1 where it is signed.
type Point struct {
	Name  string
	Count string // "6 of 8"
	Estimate
}

// Weeks is a rate from date to date, as points with their 95 % intervals on a line, the dates to
// scale. A week that is not Bar, or of fewer than five, is a count alone.
type Weeks struct {
	Title  string
	Lines  []string
	Small  []string
	Groups []WeeksOf // past the fourth they are left out, and said to be
}

// WeeksOf is one group's weeks, in order of date.
type WeeksOf struct {
	Name  string
	Weeks []DatedShare
}

// DatedShare is the rate of one date.
type DatedShare struct {
	Date        string // 2026-09-12
	stats.Share        // its name is whom they played
}

// Curves is how long blockers hold, or how many are beaten: curves as steps, ticks where a rush ended
// before its blocker was beaten, and the numbers still watched below. A curve is thin
// where fewer than ten rushes are still going, ends where fewer than five are, and one of fewer is not
// drawn at all.
type Curves struct {
	Title  string
	Lines  []string
	Small  []string
	Limit  float64 // the staff's, seconds from the snap; 0 is none
	Until  float64 // where the scale ends, seconds; 0 is where the last rush ends
	Bands  bool    // 95 % intervals, for up to two curves; more would hide one another
	Beaten bool    // draw the share beaten before the ball was out, which rises, not that which holds
	Curves []Curve // past the fourth they are left out, and said to be
}

// Curve is one group's.
type Curve struct {
	Name     string
	N        int // rushes watched
	Untimed  int // of N, those of which it is not known when they were over; never still going
	Steps    []Step
	Censored []float64 // when rushes ended with the blocker not beaten, seconds
}

// Step is the time, in seconds, at which Beaten blockers were, and the share that holds
// from then on, with its interval. Where none holds any more, the interval says nothing.
type Step struct {
	At               float64
	Beaten           int
	Holds, Low, High float64
}

// Strip is times, each rep a dot, by rusher against the group. The quickest mean is on top;
// a rusher of fewer than five reps has dots and no mean.
type Strip struct {
	Title string
	Lines []string
	Small []string
	Rows  []StripRow
	Group Group // all rushers; none if Name is empty
}

// StripRow is one rusher's times from the snap, in seconds, in any order, and their mean;
// before the snap they are negative.
type StripRow struct {
	Name  string
	Times []float64
	Mean  float64
}

// Group is what rushers are held against: a band of times with a line at its mean, in
// seconds. Name says what band it is, such as "all, mean ± spread".
type Group struct {
	Name            string
	Low, Mean, High float64
}

// Portions is what is done how often, one bar a situation, all bars as long, cut into the
// same parts in the same order. Rows stay in the order given; fewer than five reps are
// counts alone.
type Portions struct {
	Title string
	Lines []string
	Small []string
	Parts []string // past the sixth they are one, "other"
	Rows  []PortionsRow
}

// PortionsRow is one situation and how often each part was seen in it.
type PortionsRow struct {
	Name   string
	Counts []int // as many as parts
}

// chartLines stands below a chart's title.
func (r *Request) chartLines() []string {
	return []string{tags.Capital(fmt.Sprintf("%s: %s%s", r.Query.Words(), tags.Count(len(r.Reps), "rep"), r.Unjudged.Words()))}
}

// chartSmall stands at a chart's foot: who counts, and what chance makes of so many figures.
func chartSmall(who string, figures int) []string {
	small := []string{"Who counts: " + who + "."}
	if figures > 1 {
		small = append(small, fmt.Sprintf("%d intervals: about 1 in 20 misses by chance alone, so look for what repeats.", figures))
	}
	return small
}

func intervals(shares []stats.Share) int {
	n := 0
	for _, s := range shares {
		if s.Bar {
			n++
		}
	}
	return n
}

// pointsChart is a chart of points; who says who counts.
func (r *Request) pointsChart(title, who string, signed bool, rows []Point) Points {
	figures := 0
	for _, p := range rows {
		if p.At != nil {
			figures++
		}
	}
	return Points{Title: title, Lines: r.chartLines(), Small: chartSmall(who, figures), Signed: signed, Rows: rows}
}

// estimated is the figure of a model; without one it is empty.
func estimated(e *fit.Estimate) Estimate {
	if e == nil {
		return Estimate{}
	}
	return Estimate{&e.At, &e.Low, &e.High}
}

// chartTitle is "Beat in time, by align and set".
func chartTitle(of string, by []query.Fact) string {
	keys := make([]string, len(by))
	for i, f := range by {
		keys[i] = f.Name
	}
	return tags.Capital(tags.Spoken(of) + ", by " + strings.Join(keys, " and "))
}

// keyed is a group's name, with the key that it is by where there are several.
func keyed(by []query.Fact, i int, name string) string {
	if len(by) > 1 {
		return by[i].Name + " " + name
	}
	return name
}

// withSmall is a chart with more said at its foot.
func withSmall(c Chart, more []string) Chart {
	return c.reworded(func(_, small *[]string) { *small = append(*small, more...) })
}

// Bare is a chart without the words around it, for where they stand beside it, and the words of its
// foot.
func Bare(c Chart) (bare Chart, small []string) {
	bare = c.reworded(func(lines, foot *[]string) { small, *lines, *foot = *foot, nil, nil })
	return bare, small
}
