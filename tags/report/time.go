package report

import (
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// timeRow is the timing of a group of reps by one key.
type timeRow struct {
	by string
	stats.Timing
}

func timeColumns() columns[timeRow] {
	cs := columns[timeRow]{
		{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r timeRow) any { return r.by }},
		{Column{Key: "group", Doc: "Which reps the row is of.", Least: 12}, func(r timeRow) any { return r.Name }},
		{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps in the group."}, func(r timeRow) any { return r.Reps }},
		{Column{Key: "in-time", Kind: Rate, Unit: "reps", Doc: "Reps on which the blocker was beaten within the staff's limit and before the ball was out."}, func(r timeRow) any { return r.InTime }},
		{Column{Key: "beaten", Title: "at all", Kind: Rate, Unit: "reps", Doc: "Reps on which he was beaten before the ball was out, whenever that was."}, func(r timeRow) any { return r.Beaten }},
		{Column{Key: "over-first", Kind: Number, Unit: "reps", Doc: "Reps on which the ball was out, or the rush finished, before he was beaten."}, func(r timeRow) any { return r.Over }},
		{Column{Key: "over-untimed", Kind: Number, Unit: "reps", Doc: "Of those over first, reps with no mark of when."}, func(r timeRow) any { return r.Untimed }},
	}
	for i, at := range stats.Reaches {
		name := reachKey(at)
		cs = append(cs,
			column[timeRow]{Column{Key: "beaten-by-" + name, Title: "by " + reachName(at), Kind: Rate, Unit: "reps", Doc: "Reps on which the blocker was beaten by " + reachName(at) + ", before the ball was out; told where five were still going."}, func(r timeRow) any {
				if !r.At[i].Told() {
					return nil
				}
				return r.At[i].Beaten
			}},
			column[timeRow]{Column{Key: "going-" + name, Title: "at " + reachName(at), Kind: Number, Unit: "reps", Doc: "Rushes still going at " + reachName(at) + "."}, func(r timeRow) any {
				return r.At[i].Going
			}},
		)
	}
	return cs
}

func reachKey(t tags.Time) string { return fmt.Sprintf("%.1fs", t.Seconds()) }

func reachName(t tags.Time) string { return fmt.Sprintf("%.1f s", t.Seconds()) }

// timeBlocks is the timing of groups as text.
func timeBlocks(title string, rows []timeRow) []Block {
	var enough []timeRow
	for _, r := range rows {
		if r.Beaten.Count.Enough() {
			enough = append(enough, r)
		}
	}
	by, going := []pick{{key: "group", title: "beaten per 100"}}, []pick{{key: "group", title: "still going"}}
	for _, at := range stats.Reaches {
		by = append(by, pick{key: "beaten-by-" + reachKey(at), as: rated})
		going = append(going, pick{key: "going-" + reachKey(at)})
	}
	cs := timeColumns()
	return []Block{
		cs.block(rows, pick{key: "group", title: title}, pick{key: "reps"}, pick{key: "in-time"}, pick{key: "beaten", as: count},
			pick{key: "over-first"}, pick{key: "in-time", as: sample, with: []string{"beaten"}}),
		cs.block(enough, by...),
		cs.block(enough, going...),
	}
}

// incidenceRow is one step of a group's incidence.
type incidenceRow struct {
	by, group string
	stats.IncidenceStep
}

var incidenceColumns = columns[incidenceRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by."}, func(r incidenceRow) any { return r.by }},
	{Column{Key: "group", Doc: "Which reps the step is of."}, func(r incidenceRow) any { return r.group }},
	{Column{Key: "at", Kind: Decimal, Unit: "s", Doc: "Time from the snap at which a blocker was beaten or a rush was over."}, func(r incidenceRow) any { return secondsOf(&r.At) }},
	{Column{Key: "at-risk", Kind: Number, Unit: "reps", Doc: "Reps going until then at least, those with no mark of their end among them."}, func(r incidenceRow) any { return r.AtRisk }},
	{Column{Key: "beaten", Kind: Number, Unit: "reps", Doc: "Reps on which the blocker was beaten then."}, func(r incidenceRow) any { return r.Beaten }},
	{Column{Key: "over", Kind: Number, Unit: "reps", Doc: "Reps that were over then, the blocker not beaten."}, func(r incidenceRow) any { return r.Over }},
	{Column{Key: "beaten-by", Kind: Decimal, Unit: "share", Doc: "Share of reps on which the blocker was beaten by then, before the ball was out, of those of which that is known (Aalen-Johansen)."}, func(r incidenceRow) any {
		return new(r.BeatenBy)
	}},
	{Column{Key: "over-by", Kind: Decimal, Unit: "share", Doc: "Share of reps that were over by then, the blocker not beaten, likewise."}, func(r incidenceRow) any { return new(r.OverBy) }},
}

// timeGrids is the timing of groups as data, with their steps.
func timeGrids(rows []timeRow) []Grid {
	var steps []incidenceRow
	for _, r := range rows {
		for _, s := range incidence(r.Timing) {
			steps = append(steps, incidenceRow{r.by, r.Name, s})
		}
	}
	return []Grid{timeColumns().grid("", rows), incidenceColumns.grid("steps", steps)}
}

// incidence is the steps of a timing up to when fewer than five are still going.
func incidence(t stats.Timing) []stats.IncidenceStep {
	var told []stats.IncidenceStep
	for _, s := range stats.AalenJohansen(t.Courses) {
		if s.AtRisk-t.Untimed >= stats.Enough {
			told = append(told, s)
		}
	}
	return told
}

// timeWords is the model in one sentence.
const timeWords = "Of all rushes, how many had the blocker beaten by then and before the ball was out: a rush that was over first never did. Where fewer than five are still going there is a dash. How long blockers would hold, were the ball never out, is the table hold."

func timeTable(r *Request) (Table, error) {
	t := Table{Title: "blockers beaten before the ball was out, and by when", Who: r.scope().CountedWords(), Lead: []string{timeWords}}
	var all []timeRow
	add := func(by string, groups []stats.Timing) {
		var rows []timeRow
		for _, g := range groups {
			rows = append(rows, timeRow{by, g})
		}
		all = append(all, rows...)
		t.Blocks = append(t.Blocks, timeBlocks(byTitle(by), rows)...)
	}
	add(stats.All, r.scope().TimesToBeat(r.Reps, nil))
	if r.ByAsked {
		for _, f := range r.By {
			add(f.Name, r.timesBy(f))
		}
	}
	t.Notes = append(t.Notes, boundsWords(stats.BeatInTime, all[0].InTime)...)
	t.Notes = append(t.Notes, heldInTime(all[0].Held)...)
	if n := all[0].Untimed; n > 0 {
		t.Notes = append(t.Notes, tags.Count(n, "rep")+" not won, with no mark of when the rush was over: never counted as still going.")
	}
	t.Grids = timeGrids(all)
	return t, nil
}

// heldInTime says what a hold he drew is to times; nothing where there is none.
func heldInTime(n int) []string {
	if n == 0 {
		return nil
	}
	return []string{heldWords(n) + " Where no beat is marked on one, it is not known whether he had him beaten."}
}

func (r *Request) timesBy(f query.Fact) []stats.Timing {
	groups := r.scope().TimesToBeat(r.Reps, f.Groups)[1:] // the first is of all
	return inSteps(f, groups, func(t stats.Timing) string { return t.Name })
}

// timeChart is the incidence in the groups of one key, or in all.
func timeChart(r *Request, _ string) (Chart, error) {
	c := Curves{Title: "Beaten before the ball was out", Lines: r.chartLines(), Limit: r.Season.Vocabulary.Limit.Seconds(), Beaten: true}
	groups := r.scope().TimesToBeat(r.Reps, nil)
	if r.ByAsked {
		if len(r.By) != 1 {
			return nil, ErrOneKey
		}
		c.Title += ", by " + r.By[0].Name
		groups = r.timesBy(r.By[0])
	}
	var said []string
	c.Curves, said = incidencesOf(groups)
	c.Small = append(chartSmall(r.scope().CountedWords(), 0), said...)
	return c, nil
}

// incidencesOf is the incidences in groups with rushes enough, and what is said of them.
func incidencesOf(groups []stats.Timing) ([]Curve, []string) {
	var curves, tooFew []Curve
	var few []string
	for _, t := range groups {
		if !t.Beaten.Count.Enough() || t.Name == stats.NotTagged {
			few = append(few, fmt.Sprintf("%s %d", t.Name, t.Beaten.N))
			tooFew = append(tooFew, incidenceCurve(t))
			continue
		}
		curves = append(curves, incidenceCurve(t))
	}
	if len(curves) == 0 {
		return tooFew, nil // of which the chart itself says so
	}
	var said []string
	for _, t := range groups {
		if t.Beaten.Bounded() && t.Beaten.Count.Enough() {
			said = append(said, fmt.Sprintf("%s: of %s it is not known whether the blocker was beaten, and the curve is of the others.", t.Name, tags.Count(t.Beaten.Unknown, "rep")))
		}
	}
	if len(few) > 0 {
		said = append(said, "No curve of so few rushes, or of what is not tagged: "+strings.Join(few, ", ")+".")
	}
	return curves, said
}

func incidenceCurve(t stats.Timing) Curve {
	c := Curve{Name: t.Name, N: len(t.Courses), Untimed: t.Untimed}
	for _, s := range stats.AalenJohansen(t.Courses) {
		if s.Beaten > 0 {
			c.Steps = append(c.Steps, Step{At: s.At.Seconds(), Beaten: s.Beaten, Holds: 1 - s.BeatenBy, Low: 1 - s.BeatenBy, High: 1 - s.BeatenBy})
		}
		if s.AtRisk > t.Untimed { // those with no mark of their end come last of all
			for range s.Over {
				c.Censored = append(c.Censored, s.At.Seconds())
			}
		}
	}
	return c
}
