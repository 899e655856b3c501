package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

func timeView(_ context.Context, in *statsInput) (statsView, error) {
	v := statsView{
		title: "how long blockers held (Kaplan-Meier), in seconds from the snap",
		who:   stats.RushesWords + ". Ball out, or the finish, before a beat ends the watch with the blocker not beaten; a win with no beat marked is unmarked, and left out",
		sheet: sheet{heading: []string{"by", "group", "reps", "watched", "beaten", "ended", "unmarked", "median", "median-low", "median-high", "mean-to-4s", "mean-low", "mean-high"}},
	}
	for _, t := range stats.Reaches {
		v.sheet.heading = append(v.sheet.heading, "at-risk-"+reachName(t), "beaten-by-"+reachName(t), "low-"+reachName(t), "high-"+reachName(t))
	}
	result := []timesBy{{Key: stats.All, Groups: stats.TimesToBeat(in.reps, nil)}}
	if in.byAsked {
		for _, f := range in.by {
			test, overlap := stats.TimesDiffer(in.reps, valuesOf(f))
			// All of them stand above already.
			result = append(result, timesBy{f.Name, stats.TimesToBeat(in.reps, valuesOf(f))[1:], test})
			v.notes = append(v.notes, logRankWords(f.Name, test, overlap))
			if test != nil {
				v.comparisons++
			}
		}
	}
	v.result = result
	short := false
	for _, table := range result {
		v.addTimes(table)
		for _, t := range table.Groups {
			short = short || t.Curve.Enough() && (t.Median.High == nil || t.At[len(t.At)-1].Share == nil)
		}
	}
	if short {
		v.notes = append(v.notes, "Where there is a dash or a ?, the film does not show that much: too few were watched that long, or too few beaten.")
	}
	return v, nil
}

// timesBy is times to beat of reps grouped by one fact.
type timesBy struct {
	Key    string         `json:"key"`
	Groups []stats.Timing `json:"groups"`
	// Test is nil where the groups cannot be compared.
	Test *stats.LogRanks `json:"log-rank"`
}

// logRankWords is what the log-rank test between the groups by a key says.
func logRankWords(key string, test *stats.LogRanks, overlap bool) string {
	said := "Log-rank test by " + key + ": "
	switch {
	case overlap:
		return said + "none, because one rush stands in several groups."
	case test == nil:
		return said + "too few to compare."
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

func (v *statsView) addTimes(table timesBy) {
	title := table.Key
	if title != stats.All {
		title = "by " + title
	}
	whole := block{columns: []column{
		{title: title, least: 12},
		{title: "watched", right: true},
		{title: "beaten", right: true},
		{title: "unmarked", right: true},
		{title: "median (95 %)"},
		{title: "mean to 4 s"},
		{title: "sample"},
	}}
	reached := block{columns: []column{{title: "beaten per 100", least: 12}}}
	atRisk := block{columns: []column{{title: "still watched", least: 12}}}
	for _, t := range stats.Reaches {
		reached.columns = append(reached.columns, column{title: "by " + reachName(t)})
		atRisk.columns = append(atRisk.columns, column{title: "at " + reachName(t), right: true})
	}
	for _, t := range table.Groups {
		median, mean := "", ""
		shares, risk := []string{t.Name}, []string{t.Name}
		cells := []any{table.Key, t.Name, t.Reps, t.Curve.Watches, t.Beaten, t.Ended, t.Unmarked, nil, nil, nil, known(t.Mean.At), known(t.Mean.Low), known(t.Mean.High)}
		if t.Curve.Enough() {
			median, mean = medianWords(t.Median), meanWords(t.Mean)
			cells[7], cells[8], cells[9] = secondsCell(t.Median.At), secondsCell(t.Median.Low), secondsCell(t.Median.High)
			if t.Median.At != nil || t.Median.Low != nil {
				v.rates++
			}
			if t.Mean.At != nil {
				v.rates++
			}
		}
		whole.rows = append(whole.rows, []string{
			t.Name, strconv.Itoa(t.Curve.Watches), strconv.Itoa(t.Beaten), strconv.Itoa(t.Unmarked),
			median, mean, sampleWords(stats.Count{N: t.Curve.Watches}),
		})
		for _, r := range t.At {
			shares = append(shares, reachedWords(r))
			risk = append(risk, strconv.Itoa(r.AtRisk))
			cells = append(cells, r.AtRisk, known(r.Share), known(r.Low), known(r.High))
			if r.Share != nil {
				v.rates++
			}
		}
		if t.Curve.Enough() {
			reached.rows, atRisk.rows = append(reached.rows, shares), append(atRisk.rows, risk)
		}
		v.sheet.add(cells...)
	}
	v.blocks = append(v.blocks, whole, reached, atRisk)
}

func reachName(t tags.Time) string { return fmt.Sprintf("%.1f s", t.Seconds()) }

// reachedWords is "38 (24-53)"; a dash where nothing was watched that long.
func reachedWords(r stats.Reached) string {
	if r.Share == nil {
		return "-"
	}
	return fmt.Sprintf("%.0f (%.0f-%.0f)", 100**r.Share, 100**r.Low, 100**r.High)
}

// medianWords is "2.31 (1.98-2.75)", with what the film does not show left open.
func medianWords(m stats.Median) string {
	at := func(t *tags.Time) string {
		if t == nil {
			return "?"
		}
		return fmt.Sprintf("%.2f", t.Seconds())
	}
	if m.At == nil && m.Low == nil {
		return at(nil)
	}
	return fmt.Sprintf("%s (%s-%s)", at(m.At), at(m.Low), at(m.High))
}

// meanWords is "2.86 (2.24-3.48)".
func meanWords(m stats.Mean) string {
	if m.At == nil {
		return "?"
	}
	return fmt.Sprintf("%.2f (%.2f-%.2f)", *m.At, *m.Low, *m.High)
}

func secondsCell(t *tags.Time) any {
	if t == nil {
		return nil
	}
	return t.Seconds()
}
