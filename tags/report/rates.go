package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// groupColumns is the rates of a group of reps.
var groupColumns = columns[stats.Group]{
	{Column{Key: "group", Doc: "Which reps the row is of.", Least: 12, Fold: true}, func(g stats.Group) any { return g.Name }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps in the group."}, func(g stats.Group) any { return g.Reps }},
	{Column{Key: "won", Kind: Rate, Unit: "reps", Doc: "Battles won against the blocker; a hold he drew counts as won."}, func(g stats.Group) any { return g.Won }},
	{Column{Key: "pressure", Kind: Rate, Unit: "reps", Doc: "Reps with an outcome that counts as pressure."}, func(g stats.Group) any { return g.Pressure }},
	{Column{Key: "pressure-won", Kind: Rate, Unit: "reps", Doc: "Reps with pressure that he won himself: no credit says that it was given to him."}, func(g stats.Group) any { return g.PressureWon }},
	{Column{Key: "sack", Kind: Rate, Unit: "reps", Doc: "Reps with an outcome that counts as a sack."}, func(g stats.Group) any { return g.Sack }},
	{Column{Key: "sacks", Kind: Decimal, Unit: "sacks", Doc: "Sacks, one that two men share as half each."}, func(g stats.Group) any { return hundredths(&g.Sacks) }},
	{Column{Key: "beat-in-time", Kind: Rate, Unit: "reps", Doc: "Reps on which he beat his blocker within the staff's limit and before the ball was out."}, func(g stats.Group) any { return g.BeatInTime }},
	{Column{Key: "over-sooner", Kind: Number, Unit: "reps", Doc: "Reps not beaten in time on which the ball was out, or the rush finished, within the limit."}, func(g stats.Group) any { return g.OverSooner }},
}

// groupPicks is what text shows of groups.
func groupPicks(title string) []pick {
	return []pick{
		{key: "group", title: title}, {key: "reps"}, {key: "won"}, {key: "pressure"}, {key: "sack", as: count}, {key: "won", as: sample, with: []string{"pressure", "sack"}},
	}
}

// ratesRow is a group of the headline's reps by one key, or reps that are only counted.
type ratesRow struct {
	stats.Group
	by      string
	perPlay *perPlay
	like    *stats.Like // nil where groups were not made during the rush
	counted bool        // it has no rates
}

var ratesColumns = append(append(columns[ratesRow]{
	{Column{Key: "by", Doc: "What the reps are broken down by; apart is reps that are in no rate."}, func(r ratesRow) any { return r.by }},
}, lift(groupColumns, func(r ratesRow) stats.Group { return r.Group }).where(func(r ratesRow) bool { return !r.counted }, "group", "reps")...),
	column[ratesRow]{Column{Key: "pressure-per-play", Kind: Rate, Unit: "plays", Doc: "Plays with pressure by any of the chosen reps, of those that one of them rushed or had contain on."}, ofPlays(func(p perPlay) any { return p.pressure })},
	column[ratesRow]{Column{Key: "sack-per-play", Kind: Rate, Unit: "plays", Doc: "Plays with a sack, likewise."}, ofPlays(func(p perPlay) any { return p.sack })},
	column[ratesRow]{Column{Key: "like-reps", Kind: Number, Unit: "reps", Doc: "Reps of the group that have their like: others of the same rusher with the same first move."}, ofLike(func(l stats.Like) any { return l.Reps })},
	column[ratesRow]{Column{Key: "like-won", Title: "alike", Kind: Decimal, Unit: "share", Doc: "How often those others were won, weighted as the group's reps are."}, ofLike(func(l stats.Like) any {
		if !l.Enough() {
			return nil
		}
		return new(l.Rate())
	})},
	column[ratesRow]{Column{Key: "alike", textOnly: true, Kind: Number}, ofLike(func(l stats.Like) any {
		if !l.Enough() {
			return nil
		}
		return stats.Rounded(100 * l.Rate())
	})},
)

// ofLike is a value of what a group's like came to; nil where it is not told.
func ofLike(of func(stats.Like) any) func(ratesRow) any {
	return given(func(r ratesRow) *stats.Like { return r.like }, of)
}

// perPlay is rates by the play, of which two rushers are two reps.
type perPlay struct{ pressure, sack stats.Rate }

func ofPlays(of func(perPlay) any) func(ratesRow) any {
	return given(func(r ratesRow) *perPlay { return r.perPlay }, of)
}

// where is the columns with values only in rows of which known holds, but for those named.
func (cs columns[T]) where(known func(T) bool, always ...string) columns[T] {
	out := make(columns[T], len(cs))
	for i, c := range cs {
		out[i] = c
		of := c.of
		if !slices.Contains(always, c.Key) {
			out[i].of = func(row T) any {
				if !known(row) {
					return nil
				}
				return of(row)
			}
		}
	}
	return out
}

// headlineColumns is the headline's rates, one below the other.
var headlineColumns = columns[headlineRow]{
	{Column{Key: "all"}, func(r headlineRow) any { return r.Name }},
	{Column{Key: "count", Kind: Rate}, func(r headlineRow) any { return r.Rate }},
	{Column{Key: "note", Least: 14, Fold: true}, func(r headlineRow) any {
		var said []string
		if r.shared != nil {
			said = append(said, sacksWords(*hundredths(r.shared))+", shared ones by parts")
		}
		if r.sooner > 0 {
			said = append(said, fmt.Sprintf("%d over sooner", r.sooner))
		}
		if r.Unknown > 0 {
			said = append(said, fmt.Sprintf("%d not known", r.Unknown))
		}
		return strings.Join(said, ", ")
	}},
}

// sacksWords is "1 sack", "2.5 sacks".
func sacksWords(n float64) string {
	if n == 1 {
		return "1 sack"
	}
	return Column{}.text(&n) + " sacks"
}

type headlineRow struct {
	stats.NamedRate
	sooner int      // of what is not so, where the rush was over sooner
	shared *float64 // of sacks, how many they are where some were shared
}

func ratesTable(r *Request) (Table, error) {
	s := r.scope().Summarise(r.Reps, r.Season.Vocabulary)
	t := Table{Title: "how often they won and brought pressure", Untitled: true, Who: r.scope().CountedWords()}
	if s.Headline.Reps > 0 {
		said := fmt.Sprintf("%s in the rates: rushers on %s.", tags.Count(s.Headline.Reps, "rep"), s.Scope.Plays())
		if apart := s.ApartWords(); apart != "" {
			said += " Apart: " + apart + "."
		}
		if s.DrewHold > 0 {
			said += " " + heldWords(s.DrewHold)
		}
		if len(s.Given) > 0 {
			said += " Pressure given to him: " + stats.PartsWords(s.Given) + "."
		}
		t.Lead = append(t.Lead, said)
	}
	t.Key = s.Sentence()
	t.Lead = append(t.Lead, t.Key)
	var all []ratesRow
	add := func(by string, groups []stats.Group) {
		var rows []ratesRow
		for _, g := range groups {
			rows = append(rows, ratesRow{Group: g, by: by})
		}
		all = append(all, rows...)
		t.Blocks = append(t.Blocks, ratesColumns.block(rows, groupPicks("by "+by)...))
	}
	parts := func(by string, parts []stats.Part) []ratesRow {
		var rows []ratesRow
		for _, p := range parts {
			rows = append(rows, ratesRow{Group: stats.Group{Name: p.Name, Reps: p.Reps}, by: by, counted: true})
		}
		all = append(all, rows...)
		return rows
	}
	all = append(all, ratesRow{Group: s.Headline, by: stats.All, perPlay: &perPlay{s.PlayPressure, s.PlaySack}})
	whole := headlineColumns.block(headline(s), pick{key: "all"}, pick{key: "count", as: count}, pick{key: "count", as: rate},
		pick{key: "count", as: interval}, pick{key: "count", as: sample}, pick{key: "note"})
	whole.Headings[len(whole.Headings)-1].Title = "" // notes stand under none
	t.Blocks = append(t.Blocks, whole)
	add("matchup", s.Matchups)
	counted := r.scope().Counted(r.Reps)
	for _, f := range r.By {
		groups := groupsBy(counted, f)
		if f.During() {
			all = append(all, duringBlock(&t, f, groups, stats.Likes(counted, f.Groups))...)
		} else {
			add(f.Name, groups)
		}
	}
	t.Blocks = append(t.Blocks, ratesColumns.block(parts("outcome", s.Outcomes), pick{key: "group", title: "by outcome"}, pick{key: "reps"}))
	parts("apart", s.Apart)
	if s.DrewHold > 0 {
		parts("won", []stats.Part{{Name: "by a hold he drew", Reps: s.DrewHold}})
	}
	if words := stats.HowManyMore(s.Headline.Won.Count); words != "" && !s.Headline.Won.Bounded() {
		t.Notes = append(t.Notes, howManyLead+words+".")
	}
	t.Grids = []Grid{ratesColumns.grid("", all)}
	if s.Headline.Reps == 0 {
		t.Blocks = nil
	} else {
		for _, row := range headline(s) {
			t.Notes = append(t.Notes, boundsWords(row.Name, row.Rate)...)
		}
	}
	if during := r.Query.DuringTerms(); during != nil {
		t.Lead = append(t.Lead, duringWords(during))
	}
	return t, nil
}

// heldWords says how many of the wins are holds he drew, which every table counts as won.
func heldWords(n int) string { return fmt.Sprintf("Wins that are holds he drew: %d.", n) }

// penetration is the name of the rate of run fits that got past the blocker.
const penetration = "penetration"

// The names of rates by the play.
const (
	pressurePerPlay = "pressure, per play"
	sackPerPlay     = "sack, per play"
)

// bounded is why a rate is not known of some reps or plays that are unlike the others, and what
// to tag.
type bounded struct{ of, because, tag string }

var (
	unmarkedWin = bounded{"rep", "a win has no beat marked or a rep no battle", "Mark the beat of every win"}
	silentRush  = bounded{"play", "a rush has no outcome tagged; one yes tells of a play, and one no does not", "Tag the outcome of every rush"}
)

var whyBounded = map[string]bounded{
	"won":               {"rep", "no battle is tagged, and a hold that he drew tells of wins alone", "Tag every battle"},
	stats.PressureHeWon: {"rep", "pressure on a rep that was not won has no credit tagged, or a rep no outcome", "Tag the credit of such pressure"},
	stats.BeatInTime:    unmarkedWin,
	penetration:         unmarkedWin,
	pressurePerPlay:     silentRush,
	sackPerPlay:         silentRush,
}

// boundsWords says why only bounds of a rate can be told, and what to tag; nothing where more can.
func boundsWords(name string, r stats.Rate) []string {
	if !r.Bounded() || !r.Enough() {
		return nil
	}
	least, most := r.Bounds100()
	why := whyBounded[name]
	return []string{fmt.Sprintf("%s: of %s it is not known, because %s. Whatever they were, the rate of these %ss is %d to %d in 100, and the interval holds both ends. %s to know.",
		tags.Capital(name), tags.Count(r.Unknown, why.of), why.because, why.of, least, most, why.tag)}
}

// duringBlock shows groups that were made during the rush, each beside its like.
func duringBlock(t *Table, f query.Fact, groups []stats.Group, likes map[string]stats.Like) []ratesRow {
	rows := make([]ratesRow, len(groups))
	for i, g := range groups {
		like := likes[g.Name]
		rows[i] = ratesRow{Group: g, by: f.Name, like: &like}
	}
	picks := groupPicks("by " + f.Name)
	at := 3 // behind the rate it goes with
	b := ratesColumns.block(rows, slices.Insert(picks, at, pick{key: "alike"})...)
	b.Said = []string{
		duringWords([]string{f.Name}) + fmt.Sprintf(" Alike: won in 100 of the others by the same man with the same first move, where both are %d at least.", stats.Enough),
	}
	t.Blocks = append(t.Blocks, b)
	return rows
}

// duringWords says what rates mean by facts that were decided during the rush.
func duringWords(names []string) string {
	said := make([]string, len(names))
	for i, name := range names {
		said[i] = tags.Spoken(name)
	}
	is := "was"
	if len(said) > 1 {
		is = "were"
	}
	return tags.Capital(tags.Both(said)) + " " + is + " decided during the rush, by what the blocker gave: the rates tell what followed, not what it would bring."
}

// headline is the rates of all reps, pressure by the play among them.
func headline(s stats.Summary) []headlineRow {
	var rates []headlineRow
	for _, r := range s.Headline.Told() {
		row := headlineRow{NamedRate: r}
		if r.Name == stats.BeatInTime {
			row.sooner = s.Headline.OverSooner
		}
		if g := s.Headline; r.Name == "sack" && g.Sacks != float64(g.Sack.K) {
			row.shared = &g.Sacks
		}
		rates = append(rates, row)
		if r.Name == "pressure" {
			rates = append(rates, headlineRow{NamedRate: stats.NamedRate{Name: pressurePerPlay, Rate: s.PlayPressure}})
		}
		if r.Name == "sack" {
			rates = append(rates, headlineRow{NamedRate: stats.NamedRate{Name: sackPerPlay, Rate: s.PlaySack}})
		}
	}
	return rates
}

var ratesOf = []string{"won", "pressure", "pressure-won", "sack", "beat-in-time"}

// ratesChart is one rate of all and of the groups of Request.By; where neither a key nor a
// rate is asked for, every rate of all.
func ratesChart(r *Request, of string) (Chart, error) {
	s := r.scope().Summarise(r.Reps, r.Season.Vocabulary)
	c := Bars{Lines: append(r.chartLines(), fmt.Sprintf("In the rates: %d", s.Headline.Reps))}
	if of == "" && !r.ByAsked {
		c.Title = "Of rushes on " + s.Scope.Plays()
		for _, rate := range s.Headline.Told() {
			c.Shares = append(c.Shares, stats.ShareOf(rate.Name, rate.Rate))
		}
		c.Shares = append(c.Shares, stats.ShareOf(pressurePerPlay, s.PlayPressure))
	} else {
		of = cmp.Or(of, ratesOf[0])
		c.Title = chartTitle(of, r.By)
		c.AsGiven = !slices.ContainsFunc(r.By, func(f query.Fact) bool { return !f.InSteps() })
		c.Shares = append(c.Shares, stats.ShareOf(stats.All, rateOf(s.Headline, of)))
		counted := r.scope().Counted(r.Reps)
		for i, f := range r.By {
			for _, g := range groupsBy(counted, f) {
				c.Shares = append(c.Shares, stats.ShareOf(keyed(r.By, i, g.Name), rateOf(g, of)))
			}
		}
	}
	c.Small = chartSmall(r.scope().CountedWords(), intervals(c.Shares))
	return c, nil
}

func rateOf(g stats.Group, of string) stats.Rate {
	for _, c := range groupColumns {
		if r, ok := c.of(g).(stats.Rate); ok && c.Key == of {
			return r
		}
	}
	return stats.Rate{}
}
