package report

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// holdRow is how long blockers held against a group of reps by one key.
type holdRow struct {
	by string
	stats.Hold
}

func holdColumns() columns[holdRow] {
	cs := columns[holdRow]{
		{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r holdRow) any { return r.by }},
		{Column{Key: "group", Doc: "Which reps the row is of.", Least: 12}, func(r holdRow) any { return r.Name }},
		{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps in the group."}, func(r holdRow) any { return r.Reps }},
		{Column{Key: "watched", Kind: Number, Unit: "reps", Doc: "Reps whose marks say how long the blocker held at least."}, func(r holdRow) any { return r.Curve.Watches }},
		{Column{Key: "beaten", Kind: Number, Unit: "reps", Doc: "Reps watched on which the blocker was beaten."}, func(r holdRow) any { return r.Beaten }},
		{Column{Key: "ended", Kind: Number, Unit: "reps", Doc: "Reps watched that ended first: ball out, or the finish."}, func(r holdRow) any { return r.Ended }},
		{Column{Key: "unmarked", Kind: Number, Unit: "reps", Doc: "Reps whose marks say too little; they are in no figure."}, func(r holdRow) any { return r.Unmarked }},
		{Column{Key: "median", Title: "median (95 %)", Kind: Interval, Unit: "s", Doc: "Time from the snap by which half of the blockers are beaten.", words: secondsWords}, func(r holdRow) any {
			return medianOf(r.Median, r.Curve.Enough())
		}},
		{Column{Key: "mean-to-4s", Title: "mean to 4 s", Kind: Interval, Unit: "s", Doc: "How much of the first four seconds blockers hold on average.", words: meanWords}, func(r holdRow) any {
			if !r.Curve.Enough() {
				return nil
			}
			return Estimate{r.Mean.At, r.Mean.Low, r.Mean.High}
		}},
	}
	cs = append(cs, column[holdRow]{Column{Key: "sample", textOnly: true}, func(r holdRow) any { return strings.TrimSuffix(r.Hedge(), " sample") }})
	for i, at := range stats.Reaches {
		name := reachKey(at)
		cs = append(cs,
			column[holdRow]{Column{Key: "beaten-by-" + name, Title: "by " + reachName(at), Kind: Interval, Unit: "share", Doc: "Share of blockers beaten by " + reachName(at) + ".", words: reachedWords}, func(r holdRow) any {
				return Estimate{r.At[i].Share, r.At[i].Low, r.At[i].High}
			}},
			column[holdRow]{Column{Key: "at-risk-" + name, Title: "at " + reachName(at), Kind: Number, Unit: "reps", Doc: "Rushes still going at " + reachName(at) + "."}, func(r holdRow) any {
				return r.At[i].AtRisk
			}},
		)
	}
	return cs
}

// medianOf is a median as a value; nil where there are too few to tell.
func medianOf(m stats.Median, enough bool) any {
	if !enough {
		return nil
	}
	return Estimate{secondsOf(m.At), secondsOf(m.Low), secondsOf(m.High)}
}

// meanWords is "2.86 (2.24-3.48)".
func meanWords(e Estimate) string {
	if e.At == nil {
		return "?"
	}
	return fmt.Sprintf("%.2f (%.2f-%.2f)", *e.At, *e.Low, *e.High)
}

// reachedWords is "38 (24-53)"; a dash where nothing was watched that long.
func reachedWords(e Estimate) string {
	if e.At == nil {
		return "-"
	}
	return rounded(e, 100)
}

// holdBlocks is the times of groups as text.
func holdBlocks(title string, rows []holdRow) []Block {
	var enough []holdRow
	for _, r := range rows {
		if r.Curve.Enough() {
			enough = append(enough, r)
		}
	}
	reached, atRisk := []pick{{key: "group", title: "beaten per 100"}}, []pick{{key: "group", title: "still going"}}
	for _, at := range stats.Reaches {
		reached = append(reached, pick{key: "beaten-by-" + reachKey(at)})
		atRisk = append(atRisk, pick{key: "at-risk-" + reachKey(at)})
	}
	cs := holdColumns()
	return []Block{
		cs.block(rows, pick{key: "group", title: title}, pick{key: "watched"}, pick{key: "beaten"}, pick{key: "unmarked"},
			pick{key: "median"}, pick{key: "mean-to-4s"}, pick{key: "sample"}),
		cs.block(enough, reached...),
		cs.block(enough, atRisk...),
	}
}

// rankRow is one group of a log-rank test.
type rankRow struct {
	by string
	stats.RankedGroup
	chiSquare, p float64
	degrees      int
}

var rankColumns = columns[rankRow]{
	{Column{Key: "by", Doc: "What the groups are by; the test is between them."}, func(r rankRow) any { return r.by }},
	{Column{Key: "group", Doc: "Which reps the row is of."}, func(r rankRow) any { return r.Name }},
	{Column{Key: "watched", Kind: Number, Unit: "reps", Doc: "Reps watched."}, func(r rankRow) any { return r.Watches }},
	{Column{Key: "observed", Kind: Number, Unit: "reps", Doc: "Reps on which the blocker was beaten."}, func(r rankRow) any { return r.Observed }},
	{Column{Key: "expected", Kind: Decimal, Unit: "reps", Doc: "How many would be beaten were all groups alike."}, func(r rankRow) any { return new(r.Expected) }},
	{Column{Key: "chi-square", Kind: Decimal, Doc: "The test's statistic, every rep taken for a fresh try."}, func(r rankRow) any { return new(r.chiSquare) }},
	{Column{Key: "degrees", Kind: Number, Doc: "Its degrees of freedom."}, func(r rankRow) any { return r.degrees }},
	{Column{Key: "p", Kind: Decimal, Doc: "How often chance alone makes groups that are alike differ as much; by how much games differ, where that is more."}, func(r rankRow) any { return new(r.p) }},
}

// ranksOf returns a row for each group of a test between groups by a key; none without a test.
func ranksOf(by string, test *stats.LogRanks) (rows []rankRow) {
	if test == nil {
		return nil
	}
	for _, g := range test.Groups {
		rows = append(rows, rankRow{by, g, test.ChiSquare, test.P, test.Degrees})
	}
	return rows
}

// stepRow is one step of a group's curve.
type stepRow struct {
	by, group string
	stats.Step
}

var stepColumns = columns[stepRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r stepRow) any { return r.by }},
	{Column{Key: "group", Doc: "Which reps the curve is of."}, func(r stepRow) any { return r.group }},
	{Column{Key: "at", Kind: Decimal, Unit: "s", Doc: "Time from the snap at which somebody was beaten."}, func(r stepRow) any { return secondsOf(&r.At) }},
	{Column{Key: "at-risk", Kind: Number, Unit: "reps", Doc: "Reps watched until then at least."}, func(r stepRow) any { return r.AtRisk }},
	{Column{Key: "beaten", Kind: Number, Unit: "reps", Doc: "Reps on which the blocker was beaten then."}, func(r stepRow) any { return r.Beaten }},
	{Column{Key: "holds", Kind: Interval, Unit: "share", Doc: "Share of blockers not beaten by then (Kaplan-Meier)."}, func(r stepRow) any {
		return Estimate{&r.Holds, &r.Low, &r.High}
	}},
	{Column{Key: "se", Kind: Decimal, Unit: "share", Doc: "Standard error of that share, by Greenwood or, where that is more, by how much games differ."}, func(r stepRow) any { return new(r.SE) }},
}

// holdGrids is the times of groups as data, with their tests and curves.
func holdGrids(rows []holdRow, ranks []rankRow) []Grid {
	var steps []stepRow
	for _, r := range rows {
		for _, s := range r.Curve.Steps {
			steps = append(steps, stepRow{r.by, r.Name, s})
		}
	}
	return []Grid{holdColumns().grid("", rows), rankColumns.grid("log-rank", ranks), stepColumns.grid("steps", steps)}
}

// holdWords says what the curve that censors assumes.
const holdWords = "The model (Kaplan-Meier): a rush that was over first would have gone on as the others did. Where a rush hurries the ball out that is not so, and the table time tells what happened."

func holdTable(r *Request) (Table, error) {
	t := Table{
		Title: "how long blockers would hold, were the ball never out, in seconds from the snap",
		Lead:  []string{holdWords},
		Who:   r.scope().RushesWords() + ". Ball out, or the finish, before a beat ends the watch with the blocker not beaten; left out as unmarked is a win with no beat marked, and a rep of which no end or no battle is",
	}
	var all []holdRow
	var ranks []rankRow
	add := func(by string, groups []stats.Hold) {
		var rows []holdRow
		for _, g := range groups {
			rows = append(rows, holdRow{by, g})
		}
		all = append(all, rows...)
		t.Blocks = append(t.Blocks, holdBlocks(byTitle(by), rows)...)
	}
	add(stats.All, r.scope().Holds(r.Reps, nil))
	by := r.By
	if !r.ByAsked {
		by = nil
	}
	for _, f := range by {
		add(f.Name, r.holdsBy(f))
		test, overlap := r.scope().TimesDiffer(r.Reps, f.Groups)
		t.Notes = append(t.Notes, logRankWords(f.Name, test, overlap))
		if test != nil {
			t.comparisons++
			ranks = append(ranks, ranksOf(f.Name, test)...)
		}
	}
	if n := all[0].WonUnmarked; n > 0 {
		t.Notes = append(t.Notes, unmarkedWins(strconv.Itoa(n)))
	}
	t.Notes = append(t.Notes, heldInTime(all[0].Held)...)
	for _, row := range all {
		if row.Curve.Enough() && (row.Median.High == nil || row.Mean.At == nil || row.At[len(row.At)-1].Share == nil) {
			t.Notes = append(t.Notes, fmt.Sprintf("Where there is a dash or a ?, the film does not show that much: fewer than %d were still going, or nobody was beaten.", stats.Enough))
			break
		}
	}
	t.Grids = holdGrids(all, ranks)
	return t, nil
}

// unmarkedWins says what leaving out wins with no beat marked does to a curve.
func unmarkedWins(counts string) string {
	return fmt.Sprintf("Wins with no beat marked: %s. They are left out and losses are not, so blockers may not hold as long as this says, and no interval tells by how much. Mark the beat of every win to know.", counts)
}

// holdsBy is how long blockers would have held in the groups by a fact.
func (r *Request) holdsBy(f query.Fact) []stats.Hold {
	groups := r.scope().Holds(r.Reps, f.Groups)[1:] // the first is of all
	return inSteps(f, groups, func(h stats.Hold) string { return h.Name })
}

// logRankWords is what the log-rank test between the groups by a key says.
func logRankWords(key string, test *stats.LogRanks, overlap bool) string {
	said := "Log-rank test by " + key + ": "
	switch {
	case overlap:
		return said + "none, because one rush stands in several groups."
	case test == nil:
		return said + "too few timed, or none beaten, to compare."
	}
	const plenty = 5 // expected in each group, for a chi-square to be near (common practice)
	groups, rough := make([]string, len(test.Groups)), ""
	for i, g := range test.Groups {
		groups[i] = fmt.Sprintf("%s %d (%.1f)", g.Name, g.Observed, g.Expected)
		if g.Expected < plenty {
			rough = ", roughly, since some would be few"
		}
	}
	return said + fmt.Sprintf("p %s%s. Beaten, and as many as would be were all alike: %s.", chanceWords(test.P), rough, strings.Join(groups, ", "))
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

// ErrOneKey is that a chart of times was asked for by several keys.
var ErrOneKey = errors.New("times are drawn by one key")

// holdChart is the curves of the groups of one key, or that of all.
func holdChart(r *Request, _ string) (Chart, error) {
	c := Curves{Title: "How long blockers would hold", Lines: r.chartLines(), Limit: r.Season.Vocabulary.Limit.Seconds(), Bands: true}
	groups := r.scope().Holds(r.Reps, nil)
	var said []string
	if r.ByAsked {
		if len(r.By) != 1 {
			return nil, ErrOneKey
		}
		f := r.By[0]
		c.Title += ", by " + f.Name
		groups = r.holdsBy(f)
		test, overlap := r.scope().TimesDiffer(r.Reps, f.Groups)
		said = append(said, logRankWords(f.Name, test, overlap))
	}
	c.Curves, said = curvesOf(groups, said)
	c.Small = append(chartSmall(r.scope().RushesWords(), 0), append([]string{holdWords}, said...)...)
	return c, nil
}

// curvesOf is the curves of groups with watches enough, and what is said of the others and
// of medians.
func curvesOf(groups []stats.Hold, said []string) ([]Curve, []string) {
	var curves, tooFew []Curve
	var medians, few []string
	var unmarked []string
	for _, t := range groups {
		if t.WonUnmarked > 0 {
			unmarked = append(unmarked, fmt.Sprintf("%s %d", t.Name, t.WonUnmarked))
		}
		if !t.Curve.Enough() || t.Name == stats.NotTagged {
			few = append(few, fmt.Sprintf("%s %d", t.Name, t.Curve.Watches))
			tooFew = append(tooFew, curveOf(t))
			continue
		}
		curves = append(curves, curveOf(t))
		median := Estimate{secondsOf(t.Median.At), secondsOf(t.Median.Low), secondsOf(t.Median.High)}
		medians = append(medians, fmt.Sprintf("%s %s", t.Name, secondsWords(median)))
	}
	if len(medians) > 0 {
		said = append(said, "Median in seconds, with its 95 % interval; a ? is more than this film shows: "+strings.Join(medians, ", ")+".")
	}
	if len(curves) == 0 {
		return tooFew, said // of which the chart itself says so
	}
	if unmarked != nil {
		said = append(said, unmarkedWins(strings.Join(unmarked, ", ")))
	}
	if len(few) > 0 {
		said = append(said, "No curve of so few rushes, or of what is not tagged: "+strings.Join(few, ", ")+".")
	}
	return curves, said
}

func curveOf(t stats.Hold) Curve {
	c := Curve{Name: t.Name, N: t.Curve.Watches}
	for _, s := range t.Curve.Steps {
		c.Steps = append(c.Steps, Step{At: s.At.Seconds(), Beaten: s.Beaten, Holds: s.Holds, Low: s.Low, High: s.High})
	}
	for _, at := range t.Curve.Censored() {
		c.Censored = append(c.Censored, at.Seconds())
	}
	return c
}
