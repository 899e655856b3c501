package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// a week apart, from a first day on.
func weekly(k, n []int) []Dated {
	var list []Dated
	for i := range k {
		list = append(list, Dated{20000 + 7*i, Count{k[i], n[i]}})
	}
	return list
}

func TestTrendPublished(t *testing.T) {
	for name, c := range map[string]struct {
		k, n []int
		want float64
		p    float64
	}{
		// Altman 1991, Practical Statistics for Medical Research, section 10.8 (from memory):
		// caesarean sections by size of shoe.
		"shoes": {[]int{5, 7, 6, 7, 8, 10}, []int{22, 35, 42, 48, 54, 150}, 8.02, 0.005},
		// Armitage 1955, table 1 (from memory): carriers by size of the tonsils.
		"tonsils": {[]int{19, 29, 24}, []int{516, 589, 293}, 7.19, 0.007},
		// The example of R's manual page prop.trend.test.
		"smokers": {[]int{83, 90, 129, 70}, []int{86, 93, 136, 82}, 8.22, 0.004},
	} {
		got, ok := trendOf(weekly(c.k, c.n))
		if !ok || math.Abs(got.ChiSquare-c.want) > 0.005 || math.Abs(got.P-c.p) > 0.0005 {
			t.Errorf("%s: %+v, want %g and p %g", name, got, c.want, c.p)
		}
		if (got.P < 0.05) != (got.Low > 0 || got.High < 0) {
			t.Errorf("%s: interval %g to %g and p %g do not say the same", name, got.Low, got.High, got.P)
		}
	}
}

func TestTrendRise(t *testing.T) {
	// Ten in 100 more each week, to the dot.
	got, ok := trendOf(weekly([]int{1, 2, 3, 4}, []int{10, 10, 10, 10}))
	if !ok || math.Abs(got.Rise-.3) > 1e-12 {
		t.Errorf("%+v, want a rise of 0.3", got)
	}
	back, _ := trendOf(weekly([]int{4, 3, 2, 1}, []int{10, 10, 10, 10}))
	if math.Abs(back.Rise+got.Rise) > 1e-12 || math.Abs(back.ChiSquare-got.ChiSquare) > 1e-9 {
		t.Errorf("turned round: %+v, want %+v the other way", back, got)
	}
	for name, counts := range map[string][]Dated{
		"none": nil, "one day": {{3, Count{1, 4}}, {3, Count{2, 4}}}, "all": weekly([]int{4, 4}, []int{4, 4}), "nothing": weekly([]int{0, 0}, []int{4, 4}),
	} {
		if got, ok := trendOf(counts); ok {
			t.Errorf("%s: %+v, want no trend told", name, got)
		}
	}
}

// Where a rate stays the same and reps are independent, the test finds a trend in about one
// season in 20, and growth, which leaves room for dates that differ, in no more.
func TestTrendByChance(t *testing.T) {
	r := rand.New(rand.NewPCG(1955, 1954))
	const trials = 3000
	for _, weeks := range []int{3, 6, 12} {
		for _, rate := range []float64{.25, .5} {
			told, found, all := 0, 0, 0
			for range trials {
				var list []Week
				var counts []Dated
				for i := range weeks {
					w := Week{Date: fmt.Sprintf("2026-09-%02d", 1+2*i)}
					for range 4 + r.IntN(12) {
						w.Won.add(r.Float64() < rate, true)
					}
					list, counts = append(list, w), append(counts, Dated{2 * i, w.Won.Count})
				}
				if g := growth("won", list, func(w Week) Rate { return w.Won }); g.Trend != nil {
					all++
					if t, ok := trendOf(counts); ok && (t.Low > 0 || t.High < 0) {
						found++
					}
					if g.Trend.Low > 0 || g.Trend.High < 0 {
						told++
					}
				}
			}
			share, grown := float64(found)/float64(all), float64(told)/float64(all)
			if all < trials/2 || share < .03 || share > .07 || grown > .06 {
				t.Errorf("%d weeks at %g: a trend in %.3f of %d seasons, growth in %.3f", weeks, rate, share, all, grown)
			}
		}
	}
}

func TestGrowthSentence(t *testing.T) {
	won := func(counts ...Count) Growth {
		var list []Week
		for i, c := range counts {
			list = append(list, Week{Date: fmt.Sprintf("2026-09-%02d", 1+7*i), Won: Rate{Count: c}})
		}
		list = append(list, Week{Date: NotTagged, Won: Rate{Count: Count{9, 9}}})
		return growth("won", list, func(w Week) Rate { return w.Won })
	}
	// Three days running, and a line that leaves 0 to 1.
	camp := growth("won", []Week{
		{Date: "2026-08-03", Won: Rate{Count: Count{0, 20}}}, {Date: "2026-08-04", Won: Rate{Count: Count{20, 20}}}, {Date: "2026-08-05", Won: Rate{Count: Count{1, 1}}},
	}, func(w Week) Rate { return w.Won })
	if camp.Trend == nil || camp.Trend.Rise <= 1 {
		t.Fatalf("%+v: want a line that rises by more than all", camp)
	}
	for want, g := range map[string]Growth{
		"nothing is known on any date.":                                                              won(),
		"one date says nothing of a trend; it takes 3.":                                              won(Count{4, 9}),
		"2 dates say nothing of a trend; it takes 3.":                                                won(Count{4, 9}, Count{0, 0}, Count{5, 9}),
		"4 of 30 on 3 dates: nothing can be said of a trend; it takes 5 reps of each kind at least.": won(Count{0, 10}, Count{1, 10}, Count{3, 10}),
		"30 of 60 on 5 dates, small sample: a rise of 67 in 100 rushes from the first to the last, more than chance alone would often make; anything ": won(Count{2, 12}, Count{4, 12}, Count{6, 12}, Count{8, 12}, Count{10, 12}),
		"30 of 60 on 5 dates, small sample: a fall of 67 in 100 rushes from the first to the last, more than chance alone would often make; anything ": won(Count{10, 12}, Count{8, 12}, Count{6, 12}, Count{4, 12}, Count{2, 12}),
		"30 of 60 on 3 dates, small sample: no trend that can be told from chance; the line through them is a rise of 60 in 100 rushes ":               won(Count{4, 20}, Count{10, 20}, Count{16, 20}),
		"12 of 24 on 3 dates, small sample: no trend that can be told from chance; the line through them is a rise of 25 in 100 rushes":                won(Count{3, 8}, Count{4, 8}, Count{5, 8}),
		"21 of 41 on 3 dates, small sample: no trend that can be told from chance; the line through them is a rise of 100 in 100 rushes":               camp,
	} {
		if got := g.Sentence(); !strings.HasPrefix(got, want) || !strings.HasSuffix(got, ".") {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// By hand: of week 2 one win, one loss and one ball out too soon, which no rate counts.
func TestSeasons(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, battle: won, outcome: hit, marks: {beat: +1.5s}", "rusher: b, battle: lost, outcome: no-factor, marks: {finish: +3s}"),
		play(1, "dropback", "rusher: a, battle: won, outcome: sack, marks: {beat: +2s}", "rusher: b, outcome: no-factor, marks: {release: +1.8s}")+
			play(2, "dropback", "rusher: a, battle: lost, outcome: no-factor, marks: {finish: +3s}")+
			play(3, "run", "rusher: a, battle: won"),
	)
	reps[0].Play.Game.Date, reps[2].Play.Game.Date = "", "2026-09-20"
	got := Dropbacks.Seasons(reps, Rusher)
	var said []string
	for _, s := range got {
		for _, w := range s.Weeks {
			said = append(said, fmt.Sprintf("%s %s %v: %d reps, won %s, pressure %s, in time %s", s.Name, w.Date, w.Opponents, w.Reps, w.Won.Count, w.Pressure.Count, w.BeatInTime.Count))
		}
	}
	same(t, []string{
		"all 2026-09-20 [Them]: 2 reps, won 1/2, pressure 1/2, in time 1/2",
		"all not tagged [Them]: 2 reps, won 1/2, pressure 1/2, in time 1/2",
		"#91 Ann 2026-09-20 [Them]: 2 reps, won 1/2, pressure 1/2, in time 1/2",
		"#91 Ann not tagged [Them]: 1 reps, won 1/1, pressure 1/1, in time 1/1",
		"#92 Bea not tagged [Them]: 1 reps, won 0/1, pressure 0/1, in time 0/1",
	}, said)
	if g := got[0].Growth[0]; g.Dates != 1 || g.Count != (Count{1, 2}) {
		t.Errorf("%+v: what has no date has no place in a trend", g)
	}
}
