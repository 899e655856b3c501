package main

import (
	"slices"
	"testing"

	"trenchcut/pipeline/draw"
	"trenchcut/tags"
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
	c := curveOf(stats.Timing{Name: "short", Curve: stats.KaplanMeier(watches)})
	if want := []float64{1, 2, 4}; c.N != 6 || !slices.Equal(c.Censored, want) {
		t.Errorf("%d watched, ended at %v, want 6 and %v", c.N, c.Censored, want)
	}
	if len(c.Steps) != 2 || c.Steps[0].At != 2 || c.Steps[0].Beaten != 2 || c.Steps[0].Holds < .5999 || c.Steps[0].Holds > .6001 {
		t.Errorf("steps %+v, want two beaten of five at 2 s first", c.Steps)
	}
}

// Both sides of a rate stand one under the other, whichever is higher.
func TestAgainstChart(t *testing.T) {
	p := againstPage{Versus: stats.Versus{
		First:  stats.Group{Name: "path inside", Won: stats.Rate{Count: stats.Count{K: 6, N: 8}}},
		Second: stats.Group{Name: "path outside", Won: stats.Rate{Count: stats.Count{K: 3, N: 4}}},
	}}
	c, ok := p.chart(ratesTable, tags.Second).(draw.Rates)
	if !ok || !c.AsGiven || len(c.Shares) != 8 {
		t.Fatalf("%+v, want eight bars in the order given", c)
	}
	if a := c.Shares[0]; a.Name != "won: path inside" || a.K != 6 || a.N != 8 || !a.Bar {
		t.Errorf("first %+v", a)
	}
	if b := c.Shares[1]; b.Name != "won: path outside" || b.N != 4 || b.Bar {
		t.Errorf("second %+v: four reps are too few for a bar", b)
	}
}

// Every word that --chart-of takes of rates is a rate there is, and none is missing.
func TestChartsOfRates(t *testing.T) {
	g := stats.Group{
		Won: stats.Rate{Count: stats.Count{N: 1}}, Pressure: stats.Rate{Count: stats.Count{N: 2}},
		Sack: stats.Rate{Count: stats.Count{N: 3}}, BeatInTime: stats.Rate{Count: stats.Count{N: 4}},
	}
	if len(g.Rates()) != len(chartsOf[ratesTable]) {
		t.Errorf("%d rates, %d charts of them", len(g.Rates()), len(chartsOf[ratesTable]))
	}
	for i, of := range chartsOf[ratesTable] {
		if got := rateOf(g, of).N; got != i+1 {
			t.Errorf("%s is the rate of %d reps, want %d", of, got, i+1)
		}
	}
	for name := range chartsOf {
		if !slices.ContainsFunc(allStatsTables(), func(t statsTable) bool { return t.name == name && t.chart != nil }) {
			t.Errorf("no chart of a table %s", name)
		}
	}
}
