package report

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// said is all that a table tells as text.
func said(t Table) string {
	var b strings.Builder
	lines := append([]string{t.Title, t.Who}, t.Lead...)
	for _, block := range t.Blocks {
		var titles []string
		for _, h := range block.Headings {
			titles = append(titles, h.Title)
		}
		lines = append(lines, strings.Join(titles, " | "))
		for _, row := range block.Rows {
			lines = append(lines, strings.Join(row, " | "))
		}
		lines = append(lines, block.Said...)
	}
	for _, line := range append(lines, t.Notes...) {
		fmt.Fprintln(&b, line)
	}
	return b.String()
}

// Figures are of whom the words beside them say. Each case was told wrong once.
func TestSaidTruly(t *testing.T) {
	const people = "people: {a: {name: Al Ash, team: us, jersey: 91}, b: {name: Bo Birch, team: us, jersey: 55}, t: {team: Harbor, jersey: 72}}\n"
	game := func(id, more, plays string) string {
		return "trenchcut: 1\ngame: {id: " + id + ", us: Cedar, " + more + "}\n" + people + "plays:\n" + plays
	}
	play := func(n int, more, reps string) string {
		return fmt.Sprintf("  - {play: %d, %s, reps: [%s]}\n", n, more, reps)
	}
	drop := func(n int, reps string) string { return play(n, "type: dropback", reps) }
	const offAt = "{rusher: a, battle: lost, marks: {getoff: +0.1s}}"
	const heldOut = "{rusher: a, battle: lost, marks: {finish: +4.5s}}, {rusher: b, battle: lost, marks: {finish: +4.5s}}"
	for _, c := range []struct {
		name, table, by string
		games           []string
		want, not       []string
	}{
		{
			"crossed situations", "tendency", "down,quarter",
			[]string{game("g1", "date: 2026-09-04", play(1, "type: dropback, down: 1, quarter: 2", "{rusher: a, move: [rip], battle: won}")+play(2, "type: dropback, down: 3, quarter: 4", "{rusher: a, move: [rip], battle: won}"))},
			[]string{"1, 2 | 1", "3, 4 | 1"},
			[]string{"not tagged | 2"},
		},
		{
			"a week without offside and practice", "week", "",
			[]string{
				game("g1", "date: 2026-09-04, opponent: Harbor", drop(1, "{rusher: a, move: [rip], battle: won}")),
				game("p1", "date: 2026-09-08, kind: practice", drop(1, "{rusher: a, move: [rip], battle: won}")),
				game("g2", "date: 2026-09-11, opponent: Mesa", drop(1, "{rusher: a, move: [rip], battle: lost}")+drop(2, "{rusher: a, move: [rip], battle: won, penalty: offside}")),
				game("g3", "date: 2026-09-11, opponent: Stone", drop(1, "{rusher: a, move: [rip], battle: lost}")),
				game("p2", "date: 2026-09-13, kind: practice", drop(1, "{rusher: a, move: [rip], battle: won}")),
			},
			[]string{"The week of 2026-09-11, against Mesa and Stone", "#91 Al Ash: 2 reps", "won 0 of 2", "Won: 0 of 2; on 2026-09-04 it was 1 of 1."},
			[]string{"2026-09-13", "2026-09-08", "won 1 of 3"},
		},
		{
			"the next opponent is one that was not played yet", "week", "",
			[]string{
				game("s1", "kind: scout, date: 2026-08-28, opponent: Harbor", drop(1, "{rusher: a, blocker: {who: t, set: short}, battle: won}")),
				game("g1", "date: 2026-09-04, opponent: Harbor", drop(1, "{rusher: a, move: [rip], battle: won}")),
			},
			[]string{NoLine},
			nil,
		},
		{
			"runs", "run", "",
			[]string{game("g1", "date: 2026-09-04", play(1, "type: run", "{rusher: a, battle: won, how: on-the-ground}")+play(2, "type: run", "{rusher: a, outcome: stop}"))},
			[]string{"Of 2 reps it is not known whether he penetrated, because a win has no beat marked or a rep no battle"},
			[]string{"on-the-ground", "2 wins"},
		},
		{
			"a blocker who lost", "pairs", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, help: none, blocker: {who: t}, battle: won}"))},
			[]string{"blocker | reps | rusher won | even | blocker won\n#72 | 1 | 1 | 0 | 0"},
			nil,
		},
		{
			"contain on other plays", "contain", "",
			[]string{game("g1", "date: 2026-09-04", play(1, "type: draw", "{rusher: a, battle: won, contain: kept}")+play(2, "unit: defense", "{rusher: a, battle: won, contain: kept}"))},
			[]string{"not tagged | 1", "on other plays | 1"},
			nil,
		},
		{
			"a sack of two men", "rates", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: won, outcome: sack}, {rusher: b, battle: won, outcome: sack}"))},
			[]string{"1 sack, shared ones by parts"},
			[]string{"1 sacks"},
		},
		{
			"rushes with no end marked", "time", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: lost}, {rusher: b, battle: lost}"))},
			[]string{"2 reps not won, with no mark of when the rush was over"},
			[]string{"rushs"},
		},
		{
			"whose tendencies", "tendency", "",
			[]string{game("s1", "date: 2026-09-04, kind: scout, opponent: Harbor", drop(1, "{rusher: a, move: [rip], battle: won}"))},
			[]string{"What the rushers do, then what the blockers do against them."},
			[]string{"our rushers"},
		},
		{
			"pressure of which it is not known whose it was", "rates", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: won, outcome: sack}, {rusher: b, battle: lost, outcome: no-factor}")+
				drop(2, "{rusher: a, battle: stalemate, outcome: hurry}, {rusher: b, battle: lost, outcome: hit}")+drop(3, "{rusher: a, battle: lost, outcome: no-factor}"))},
			[]string{"pressure he won | 1/3 | 20 to 60", "Pressure he won: of 2 reps it is not known, because pressure on a rep that was not won has no credit tagged, or a rep no outcome. Whatever they were, the rate of these reps is 20 to 60 in 100"},
			nil,
		},
		{
			"plays of which one rush says nothing", "rates", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: lost, outcome: hit}, {rusher: b, battle: lost}")+drop(2, "{rusher: a, outcome: no-factor}, {rusher: b, battle: lost}")+
				drop(3, "{rusher: a, outcome: no-factor}, {rusher: b, battle: lost}")+drop(4, "{rusher: a, outcome: no-factor}")+drop(5, "{rusher: a, outcome: no-factor}"))},
			[]string{"pressure, per play | 1/3 | 20 to 60", "Pressure, per play: of 2 plays it is not known, because a rush has no outcome tagged; one yes tells of a play, and one no does not. Whatever they were, the rate of these plays is 20 to 60 in 100"},
			nil,
		},
		{
			"snaps that the table of points does not price", "grades", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, outcome: sack}, {rusher: b, battle: lost}")+drop(2, "{rusher: a, battle: lost}"))},
			[]string{"91 | Al Ash | 2 | 0 | 0/0/0 | 0/0/0 | 0/0/0 | 3 | 1.5", "On 1 rep nothing is tagged that the table of points prices: counted as snaps that earn nothing."},
			nil,
		},
		{
			"a pair that met once", "pairs", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, help: none, blocker: {who: t, set: short}, battle: won}"))},
			[]string{"In no row: 1 pair that met fewer than 5 times."},
			nil,
		},
		{
			"get-offs that are all the same", "getoff", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, offAt)+drop(2, offAt)+drop(3, offAt)+drop(4, offAt)+drop(5, offAt))},
			[]string{"#91 Al Ash | 5 | 0 | 100 (?) | 0 |  | small", sameTimes},
			[]string{"100-100"},
		},
		{
			"penetration with wins unmarked", "run", "",
			[]string{game("g1", "date: 2026-09-04", play(1, "type: run", "{rusher: a, battle: won}, {rusher: b, battle: won, outcome: tackle-for-loss}")+
				play(2, "type: run", "{rusher: a, battle: lost}, {rusher: b, battle: won}")+play(3, "type: run", "{rusher: a, battle: lost}"))},
			[]string{"Penetration: of 2 reps it is not known", "the rate of these reps is 20 to 60 in 100"},
			[]string{"they are in no rate"},
		},
		{
			"nobody beaten", "hold", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, heldOut)+drop(2, heldOut)+drop(3, heldOut))},
			[]string{"all | 6 | 6 | 6 | 6", "fewer than 5 were still going, or nobody was beaten."},
			nil,
		},
		{
			"wins with no beat marked", "hold", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: won}, {rusher: b, battle: won}"))},
			[]string{"Wins with no beat marked: 2. They are left out and losses are not"},
			nil,
		},
		{
			"practice among games", "rates", "",
			[]string{
				game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: won}")),
				game("p1", "date: 2026-09-06, kind: practice", drop(1, "{rusher: a, battle: won}")),
			},
			[]string{"1 rep of practice (kind practice) among these: kind!=practice leaves them out."},
			[]string{"kind!=scout"},
		},
		{
			"practice against a look of the next opponent", "week", "",
			[]string{
				game("s1", "kind: scout, date: 2026-09-04, opponent: Harbor", drop(1, "{rusher: a, blocker: {who: t, set: short}, battle: won}")),
				game("p1", "kind: practice, date: 2026-09-06, opponent: Harbor", drop(1, "{rusher: a, blocker: {who: b, set: jump}, battle: won}")),
			},
			[]string{"Harbor, #72, 1 rep"},
			[]string{"Harbor, #55 Bo Birch"},
		},
		{
			"get-offs of men of no position", "getoff", "",
			[]string{game("g1", "date: 2026-09-04", drop(1, "{rusher: a, battle: won, marks: {getoff: +0.2s}}, {rusher: b, battle: won}"))},
			[]string{"Of 1 rep his position is not tagged: such men are held against one another."},
			nil,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, err := tags.DefaultVocabulary()
			if err != nil {
				t.Fatal(err)
			}
			season := &tags.Season{Vocabulary: v}
			for i, text := range c.games {
				g, faults := tags.ParseGame(fmt.Sprintf("/season/g%d.game.yaml", i), []byte(text), v)
				if faults.Grave() > 0 {
					t.Fatal(faults)
				}
				season.Games = append(season.Games, g)
			}
			q, err := query.Parse(nil, "", v, season)
			if err != nil {
				t.Fatal(err)
			}
			r := &Request{Season: season, Query: q, Reps: q.Reps(season).Reps}
			if c.by != "" {
				facts, err := q.Registry().Named(strings.Split(c.by, ",")...)
				if err != nil {
					t.Fatal(err)
				}
				r.By, r.ByAsked = []query.Fact{query.Crossed(facts...)}, true
			}
			tables, err := Named([]string{c.table})
			if err != nil {
				t.Fatal(err)
			}
			table, err := tables[0].Table(r)
			if err != nil {
				t.Fatal(err)
			}
			got := said(table)
			for _, want := range c.want {
				if !strings.Contains(got, want) {
					t.Errorf("%q is not said:\n%s", want, got)
				}
			}
			for _, not := range c.not {
				if strings.Contains(got, not) {
					t.Errorf("%q is said:\n%s", not, got)
				}
			}
		})
	}
}

// A rate of which only bounds are known has no bar, on a chart and on a slate, and says how many
// reps are not known.
func TestBoundedHasNoBar(t *testing.T) {
	bounded := stats.Rate{Count: stats.Count{K: 6, N: 21}, Unknown: 9, Lopsided: true}
	if s := stats.ShareOf("beat in time", bounded); s.Bar || s.Words() != "6 of 21, 9 not known" {
		t.Errorf("a share of it has a bar: %v, and says %q", s.Bar, s.Words())
	}
	known := stats.Rate{Count: stats.Count{K: 6, N: 21}, Unknown: 9}
	if s := stats.ShareOf("won", known); !s.Bar || s.Words() != "6 of 21" {
		t.Errorf("a share of a rate that is known has a bar: %v, and says %q", s.Bar, s.Words())
	}
}

// What is tagged tells how reps ended, since some things are tagged of wins alone: no rates are by it.
func TestRefuseByTagged(t *testing.T) {
	r := request(t)
	tagged, ok := r.Query.Registry().Find("tagged")
	set, _ := r.Query.Registry().Find("set")
	if !ok {
		t.Fatal("no fact tagged")
	}
	rates, _ := Named([]string{Rates})
	for _, f := range []query.Fact{tagged, query.Crossed(set, tagged)} {
		if Refuse(rates, r.Query, []query.Fact{f}) == nil {
			t.Errorf("rates by %s are told", f.Name)
		}
	}
	if err := Refuse(rates, r.Query, []query.Fact{set}); err != nil {
		t.Error(err)
	}
}

// A rep that stands in two situations is one rep of which the choice is not tagged.
func TestUntaggedOnce(t *testing.T) {
	const text = `trenchcut: 1
game: {id: g1}
people: {a: {team: us, jersey: 91}}
plays:
  - {play: 1, type: dropback, reps: [{rusher: a, saw: [leaning, hands-low], battle: lost}]}
`
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("/season/g1.game.yaml", []byte(text), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	season := &tags.Season{Vocabulary: v, Games: []*tags.Game{game}}
	q, err := query.Parse(nil, "", v, season)
	if err != nil {
		t.Fatal(err)
	}
	saw, _ := q.Registry().Find("saw")
	c, err := tendencyChart(&Request{Season: season, Query: q, Reps: q.Reps(season).Reps, By: []query.Fact{saw}, ByAsked: true}, "set")
	if err != nil {
		t.Fatal(err)
	}
	if small := c.(Portions).Small; !slices.Contains(small, "1 rep of which it is not tagged.") {
		t.Errorf("%q", small)
	}
}

// asked is the request of [request] with other terms.
func asked(t *testing.T, terms ...string) *Request {
	t.Helper()
	r := request(t)
	q, err := query.Parse(terms, "", r.Season.Vocabulary, r.Season)
	if err != nil {
		t.Fatal(err)
	}
	r.Query, r.Reps = q, q.Reps(r.Season).Reps
	return r
}

// What reps are chosen by, or broken down by, is told as no finding.
func TestNotWhatWasChosen(t *testing.T) {
	getoff, _ := Named([]string{"getoff"})
	quick := asked(t, "time-to-getoff<0.3")
	if err := Refuse(getoff, quick.Query, nil); err == nil || !strings.Contains(err.Error(), "leave time-to-getoff out") {
		t.Errorf("get-offs of those who were quick: %v", err)
	}
	time, _ := quick.Query.Registry().Find("time-to-getoff")
	set, _ := quick.Query.Registry().Find("set")
	if Refuse(getoff, asked(t).Query, []query.Fact{query.Crossed(set, time)}) == nil {
		t.Error("get-offs by themselves are told")
	}
	if err := Refuse(getoff, asked(t, "set=short").Query, []query.Fact{set}); err != nil {
		t.Error(err)
	}
	hold, _ := Named([]string{Holds})
	if Refuse(hold, asked(t, "ball-out=no").Query, nil) == nil {
		t.Error("how long blockers hold is told of those who had to hold long")
	}
	for _, r := range []*Request{quick, asked(t, "rusher=91")} {
		for _, s := range WeekOf(r).Subjects {
			if told := len(s.GetOff.Rows) > 0; told == (r == quick) {
				t.Errorf("%s: get-off by week %v", r.Query.Words(), s.GetOff.Rows)
			}
		}
	}
	side := func(r *Request) Side { return Side{Query: r.Query, Reps: r.Reps} }
	if v := AgainstOf(side(quick), side(asked(t))).versus; v.GetOff[0].N != 0 {
		t.Errorf("%d get-offs of those who were quick are held against others", v.GetOff[0].N)
	}
	held := AgainstOf(side(asked(t, "ball-out=no")), side(asked(t)))
	if slices.ContainsFunc(held.Grids, func(g Grid) bool { return strings.HasPrefix(g.Name, "hold") }) || !strings.Contains(held.TimeWords(), "not told of reps chosen by ball out") {
		t.Errorf("how long blockers hold is held against those who had to hold long: %s", held.TimeWords())
	}
	if v := AgainstOf(side(asked(t, "set=short")), side(asked(t))).versus; v.GetOff[0].N != 1 {
		t.Errorf("%d get-offs of a short set, want 1", v.GetOff[0].N)
	}

	reads, _ := Named([]string{"reads"})
	const chosen = "Reps are chosen by first move and path: how often a read was taken says no more than that."
	if table, err := reads[0].Table(asked(t, "first-move=rip", "path=outside")); err != nil || !slices.Contains(table.Lead, chosen) {
		t.Errorf("%v, %q", err, table.Lead)
	}
	if table, err := reads[0].Table(asked(t, "set=short")); err != nil || strings.Contains(said(table), "Reps are chosen by") {
		t.Errorf("%v, %q", err, table.Lead)
	}

	tendency, _ := Named([]string{"tendency"})
	short := asked(t, "set=short")
	down, _ := short.Query.Registry().Find("down")
	for _, c := range []struct {
		r    *Request
		by   query.Fact
		want bool
	}{{short, down, false}, {asked(t, "down<=2"), query.Crossed(down, set), false}, {asked(t, "down<=2"), down, true}} {
		c.r.By = []query.Fact{c.by}
		table, err := tendency[0].Table(c.r)
		if err != nil {
			t.Fatal(err)
		}
		told := slices.ContainsFunc(table.Grids[0].Rows, func(row []any) bool { return row[3] == "set" }) || strings.Contains(said(table), "jump 1/2")
		if told != c.want {
			t.Errorf("%s by %s: sets are told: %v\n%s", c.r.Query.Words(), c.by.Name, told, said(table))
		}
	}
	first := asked(t, "first-move=rip")
	first.By = []query.Fact{down}
	counter, err := tendency[0].Table(asked(t, "last-move=rip"))
	if err != nil || slices.ContainsFunc(counter.Grids[0].Rows, func(row []any) bool { return row[3] == "path" }) {
		t.Errorf("of reps chosen by the last move the path is told: %v\n%s", err, said(counter))
	}
	if chart, err := tendency[0].Chart(first, ""); err != nil || chart.(Portions).Title != "Path, by down" {
		t.Errorf("of reps chosen by the first move the chart is %+v, %v", chart, err)
	}
}

// Every table of how rushes ended says what reps chosen by what the blocker gave are worth.
func TestDecidedDuringTheRush(t *testing.T) {
	const warned = "decided during the rush, by what the blocker gave"
	inside, plain, by := asked(t, "path=outside"), asked(t, "set=short"), asked(t, "set=short")
	path, _ := by.Query.Registry().Find("path")
	by.By = []query.Fact{path}
	for _, d := range Definitions() {
		for _, c := range []struct {
			r    *Request
			want bool
		}{{inside, d.ofEnds}, {plain, false}, {by, slices.Contains([]string{Rates, Times, Holds, Seasons}, d.Name)}} {
			table, err := d.Table(c.r)
			if err != nil {
				t.Fatal(err)
			}
			if got := said(table); strings.Contains(got, warned) != c.want {
				t.Errorf("%s of %s: want it said: %v\n%s", d.Name, c.r.Query.Words(), c.want, got)
			}
			if !d.Drawn() {
				continue
			}
			chart, err := d.Chart(c.r, "")
			if err != nil {
				t.Fatal(err)
			}
			if _, small := Bare(chart); strings.Contains(strings.Join(small, " "), warned) != c.want {
				t.Errorf("the chart of %s of %s: want it said: %v, %q", d.Name, c.r.Query.Words(), c.want, small)
			}
		}
	}
	table, err := sequenceTable(asked(t, "first-move=rip"))
	if err != nil || !strings.Contains(said(table), "Reps are chosen by first move: what he began with says no more than that.") {
		t.Errorf("%v, %s", err, said(table))
	}
}
