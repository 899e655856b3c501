package report

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// A chart's curve is the table's: all who were watched leave it once, and it steps where
// the table's does.
func TestCurveOf(t *testing.T) {
	watches := []stats.Watch{
		{Until: 2 * tags.Second, Beat: true},
		{Until: 2 * tags.Second},
		{Until: 2 * tags.Second, Beat: true},
		{Until: tags.Second},
		{Until: 3 * tags.Second, Beat: true},
		{Until: 4 * tags.Second},
	}
	c := curveOf(stats.Hold{Name: "short", Curve: stats.KaplanMeier(watches)})
	if want := []float64{1, 2, 4}; c.N != 6 || !slices.Equal(c.Censored, want) {
		t.Errorf("%d watched, ended at %v, want 6 and %v", c.N, c.Censored, want)
	}
	if len(c.Steps) != 2 || c.Steps[0].At != 2 || c.Steps[0].Beaten != 2 || c.Steps[0].Holds < .5999 || c.Steps[0].Holds > .6001 {
		t.Errorf("steps %+v, want two beaten of five at 2 s first", c.Steps)
	}
}

// Both sides of a rate stand one under the other, whichever is higher.
func TestAgainstChart(t *testing.T) {
	a := Against{versus: stats.Versus{
		First: stats.Group{Name: "path inside"}, Second: stats.Group{Name: "path outside"},
		Rates: []stats.Contrast{{
			Name:  "won",
			First: stats.Rate{Count: stats.Count{K: 6, N: 8}}, Second: stats.Rate{Count: stats.Count{K: 3, N: 4}},
		}},
	}}
	c, ok := a.Chart(Rates, tags.Second).(Bars)
	if !ok || !c.AsGiven || len(c.Shares) != 2 {
		t.Fatalf("%+v, want two bars in the order given", c)
	}
	if a := c.Shares[0]; a.Name != "won: path inside" || a.K != 6 || a.N != 8 || !a.Bar {
		t.Errorf("first %+v", a)
	}
	if b := c.Shares[1]; b.Name != "won: path outside" || b.N != 4 || b.Bar {
		t.Errorf("second %+v: four reps are too few for a bar", b)
	}
}

// Every word that a chart of rates may be of is a rate there is, and none is missing.
func TestChartsOfRates(t *testing.T) {
	g := stats.Group{
		Won: stats.Rate{Count: stats.Count{N: 1}}, Pressure: stats.Rate{Count: stats.Count{N: 2}},
		PressureWon: stats.Rate{Count: stats.Count{N: 3}}, Sack: stats.Rate{Count: stats.Count{N: 4}}, BeatInTime: stats.Rate{Count: stats.Count{N: 5}},
	}
	if len(g.Rates()) != len(ratesOf) {
		t.Errorf("%d rates, %d charts of them", len(g.Rates()), len(ratesOf))
	}
	for i, of := range ratesOf {
		if got := rateOf(g, of).N; got != i+1 {
			t.Errorf("%s is the rate of %d reps, want %d", of, got, i+1)
		}
	}
	for _, d := range Definitions() {
		if d.ChartOf != nil && !d.Drawn() {
			t.Errorf("no chart of the table %s", d.Name)
		}
	}
}

// request is a few reps, of which two people tagged some.
func request(t *testing.T) *Request {
	t.Helper()
	const text = `trenchcut: 1
game: {id: g1, date: 2026-09-12, opponent: Harbor State%s}
film: {endzone: {file: ez.mp4}}
people: {a: {team: us, jersey: 91}, b: {team: us, jersey: 9}, t: {team: Harbor State, jersey: 72}}
plays:
  - {play: 1, type: dropback, down: 1, distance: 10, in: 1s, out: 6s, marks: {snap: 2s, finish: +3s}, reps: [{rusher: a, align: '5', move: rip, help: none, blocker: {who: t, set: short}, battle: won, outcome: sack, marks: {getoff: +0.2s, beat: +2s}}, {rusher: b, job: penetrator, stunt: tackle-end, battle: lost, outcome: no-factor}]}
  - {play: 2, type: dropback, down: 2, distance: 4, in: 11s, out: 16s, marks: {snap: 12s, finish: +3s}, reps: [{rusher: a, move: bull, blocker: {who: t, set: jump}, battle: lost, outcome: no-factor, contain: lost, grade: {effort: plus}}]}
  - {play: 3, type: run, in: 21s, out: 26s, marks: {snap: 22s}, reps: [{rusher: a, job: run-fit, battle: won, outcome: stop, contain: kept}]}
`
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	season := &tags.Season{Vocabulary: v}
	for _, by := range []string{"", ", by: Ruiz"} {
		game, faults := tags.ParseGame("/season/g1.game.yaml", []byte(strings.Replace(text, "%s", by, 1)), v)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if by == "" {
			season.Games = append(season.Games, game)
		} else {
			season.Second = append(season.Second, game)
		}
	}
	q, err := query.Parse(nil, "", v, season)
	if err != nil {
		t.Fatal(err)
	}
	set, _ := q.Registry().Find("set")
	return &Request{Season: season, Query: q, Reps: q.Reps(season).Reps, By: []query.Fact{set}, ByAsked: true}
}

// Every table says what its columns are, once each, and all its forms have a value for each.
func TestForms(t *testing.T) {
	r := request(t)
	for _, d := range Definitions() {
		table, err := d.Table(r)
		if err != nil {
			t.Fatal(err)
		}
		if table.Name != d.Name || table.Title == "" || table.Who == "" || table.Grids[0].Name != "" {
			t.Errorf("%s: named %q, %q, counts %q, first grid %q", d.Name, table.Name, table.Title, table.Who, table.Grids[0].Name)
		}
		for _, g := range table.Grids {
			checkGrid(t, d.Name+" "+g.Name, g)
		}
		if len(table.Grids[0].Rows) == 0 {
			t.Errorf("%s: it has no row", d.Name)
		}
		for _, b := range table.Blocks {
			for _, row := range b.Rows {
				if len(row) != len(b.Headings) && len(row) != 1 {
					t.Errorf("%s: %d texts under %d headings: %q", d.Name, len(row), len(b.Headings), row)
				}
			}
		}
		checkJSON(t, d.Name, table)
	}
}

func checkGrid(t *testing.T, name string, g Grid) {
	t.Helper()
	keys := map[string]bool{}
	for _, c := range g.Columns {
		if c.Key == "" || !strings.HasSuffix(c.Doc, ".") || strings.Contains(c.Key, " ") {
			t.Errorf("%s: column %q is %q", name, c.Key, c.Doc)
		}
		if unit := c.Kind == Number || c.Kind == Rate || c.Kind == Marks; unit && c.Unit == "" && c.Key != "degrees" {
			t.Errorf("%s: column %q counts in nothing", name, c.Key)
		}
	}
	for _, h := range g.Headings() {
		if keys[h] {
			t.Errorf("%s: two columns %q", name, h)
		}
		keys[h] = true
	}
	for _, row := range g.Cells() {
		if len(row) != len(g.Headings()) {
			t.Errorf("%s: %d cells under %d headings", name, len(row), len(g.Headings()))
		}
		for _, cell := range row {
			switch cell.(type) {
			case nil, string, int, float64:
			default:
				t.Errorf("%s: a cell is a %T", name, cell)
			}
		}
	}
}

// checkJSON reads a table's JSON back and holds it to the sheet's cells.
func checkJSON(t *testing.T, name string, table Table) {
	t.Helper()
	data, err := json.Marshal(table)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Columns []struct{ Key string }
		Rows    []map[string]any
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	g := table.Grids[0]
	if len(got.Columns) != len(g.Columns) || len(got.Rows) != len(g.Rows) {
		t.Fatalf("%s: %d columns and %d rows, want %d and %d", name, len(got.Columns), len(got.Rows), len(g.Columns), len(g.Rows))
	}
	cells := g.Cells()
	for i, row := range got.Rows {
		at := 0
		for _, c := range g.Columns {
			for _, part := range parts[c.Kind] {
				value := row[c.Key]
				if object, ok := value.(map[string]any); ok {
					if part == "" {
						part = "at"
					}
					value = object[part]
				}
				want := cells[i][at]
				if n, ok := want.(int); ok {
					want = float64(n)
				}
				if value != want {
					t.Errorf("%s: %s %s of row %d is %v, in a sheet %v", name, c.Key, part, i, value, want)
				}
				at++
			}
		}
	}
}

// What blocks show with an interval is counted: a rate of five reps, not one of four, and not
// a count alone.
func TestFiguresAreCounted(t *testing.T) {
	rows := []stats.Group{
		{Won: stats.Rate{Count: stats.Count{K: 1, N: 5}}, Sack: stats.Rate{Count: stats.Count{K: 1, N: 5}}},
		{Won: stats.Rate{Count: stats.Count{K: 1, N: 4}}, Pressure: stats.Rate{Count: stats.Count{K: 4, N: 30}}},
	}
	b := groupColumns.block(rows, groupPicks("by set")...)
	if b.figures != 2 || b.comparisons != 0 {
		t.Errorf("%d figures, %d comparisons, want 2 and none", b.figures, b.comparisons)
	}
	if got := Chances([]Table{{Blocks: []Block{b}, comparisons: 1}}); !strings.HasPrefix(got, "2 figures and 1 comparison with an interval") {
		t.Errorf("said %q", got)
	}
	if Chances(nil) != "" {
		t.Error("of nothing something is said")
	}
}

// What changed since last week is told rate by rate, though pressure was given to him in one of
// the two weeks alone, so that the other tells fewer rates.
func TestWeekOfOtherRates(t *testing.T) {
	const game = `trenchcut: 1
game: {id: %s, date: %s, opponent: Harbor State}
people: {a: {team: us, jersey: 91}}
plays:
  - {play: 1, type: dropback, reps: [{rusher: a, battle: lost, outcome: sack%s}]}
  - {play: 2, type: dropback, reps: [{rusher: a, battle: lost, outcome: no-factor}]}
`
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for _, credit := range [][2]string{{", credit: coverage", ", credit: freed-looper"}, {", credit: freed-looper", ", credit: coverage"}} {
		season := &tags.Season{Vocabulary: v}
		for i, date := range []string{"2026-09-05", "2026-09-12"} {
			id := fmt.Sprintf("g%d", i+1)
			g, faults := tags.ParseGame("/season/"+id+".game.yaml", fmt.Appendf(nil, game, id, date, credit[i]), v)
			if faults.Grave() > 0 {
				t.Fatal(faults)
			}
			season.Games = append(season.Games, g)
		}
		q, err := query.Parse(nil, "", v, season)
		if err != nil {
			t.Fatal(err)
		}
		w := WeekOf(&Request{Season: season, Query: q, Reps: q.Reps(season).Reps})
		if len(w.Subjects) != 1 {
			t.Fatalf("%d subjects, want one", len(w.Subjects))
		}
		said := w.Subjects[0].Changed
		for _, want := range []string{"Pressure: 1 of 2; on 2026-09-05 it was 1 of 2.", "Sack: 1 of 2; on 2026-09-05 it was 1 of 2."} {
			if !slices.Contains(said, want) {
				t.Errorf("with %q: %q, want %q in it", credit, said, want)
			}
		}
	}
}
