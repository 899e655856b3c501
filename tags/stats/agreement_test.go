package stats

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/invent"
)

// square is counts as a square table of words, a row each of the first's.
func square(rows ...[]int) map[[2]string]int {
	counts := map[[2]string]int{}
	for i, row := range rows {
		for j, n := range row {
			if n > 0 {
				counts[[2]string{fmt.Sprint(i), fmt.Sprint(j)}] = n
			}
		}
	}
	return counts
}

// pairsOf is counts as pairs, all of one game.
func pairsOf(counts map[[2]string]int) []paired {
	var pairs []paired
	for words, n := range counts {
		for range n {
			pairs = append(pairs, paired{words: words})
		}
	}
	return pairs
}

func TestKappa(t *testing.T) {
	const unsaid = -2
	for name, c := range map[string]struct {
		counts            map[[2]string]int
		at, se, low, high float64
		places            float64
	}{
		// Cohen 1968, Psychol. Bull. 70:213–220, table 1 as counts of 200: he reports .492.
		"Cohen": {square([]int{88, 14, 18}, []int{10, 40, 10}, []int{2, 6, 12}), .492, unsaid, unsaid, unsaid, 3},
		// Reviews of films, Agresti and Winner 1997, in Agresti 2002, Categorical Data Analysis,
		// section 10.5: .389 with a standard error of .060 (the figures from memory).
		"films": {square([]int{24, 8, 13}, []int{8, 13, 11}, []int{10, 9, 64}), .389, .060, unsaid, unsaid, 3},
		// The printout that statsmodels keeps for this table in test_inter_rater.py.
		"a word that one never uses": {square([]int{0, 4, 1}, []int{0, 8, 0}, []int{0, 1, 5}), .4842, .1380, .2137, .7547, 4},
	} {
		k := kappa(pairsOf(c.counts))
		if k.At == nil || k.SE == nil {
			t.Errorf("%s: no kappa", name)
			continue
		}
		for _, pair := range [][2]float64{{c.at, *k.At}, {c.se, *k.SE}, {c.low, *k.At - z**k.SE}, {c.high, *k.At + z**k.SE}} {
			if pair[0] != unsaid && math.Abs(pair[0]-pair[1]) > .5000001*math.Pow(10, -c.places) {
				t.Errorf("%s: %.5f, want %g", name, pair[1], pair[0])
			}
		}
	}
	if k := kappa(pairsOf(square([]int{5, 0}, []int{0, 3}))); k.At == nil || *k.At != 1 || k.SE != nil || *k.High != 1 || *k.Low < .3 || *k.Low > .7 {
		t.Errorf("all alike: %+v, want 1, with an interval that eight reps bear out", k)
	}
	for name, counts := range map[string]map[[2]string]int{
		"too few": square([]int{2, 1}, []int{0, 1}), "one word": square([]int{9}), "none": {},
	} {
		if k := kappa(pairsOf(counts)); k.At != nil {
			t.Errorf("%s: kappa %g, want none", name, *k.At)
		}
	}
	// Each uses one word, not the same: chance alone would do as well.
	if k := kappa(pairsOf(map[[2]string]int{{"won", "even"}: 9})); k.At == nil || *k.At != 0 || k.Low != nil {
		t.Errorf("never alike: %+v, want 0", k)
	}
}

// How often kappa's interval holds kappa, by simulation: two people who tell words apart,
// right so often that kappa is what it is; of fresh reps, and of games some of which are harder
// to tell than others. The large-sample interval holds it too seldom of few reps, and has
// nothing to say where they agree in all, as they often do.
func TestKappaCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	for _, c := range []struct {
		games, reps int
		kappa       float64
		least       float64
	}{{1, 7, .8, .91}, {1, 10, .5, .91}, {1, 20, .5, .91}, {1, 20, .8, .91}, {1, 60, .6, .91}, {10, 12, .6, .91}, {5, 30, .6, .91}} {
		held, plain, none := 0, 0, 0
		for range *seasons {
			var pairs []paired
			for g := range c.games {
				alike := c.kappa
				if c.games > 1 { // some games are told alike more often than others
					alike += .2 * float64(2*r.IntN(2)-1)
				}
				for range c.reps {
					words := [2]string{fmt.Sprint(r.IntN(3)), fmt.Sprint(r.IntN(3))}
					if r.Float64() < alike {
						words[1] = words[0]
					}
					pairs = append(pairs, paired{game{when: fmt.Sprint(g)}, words})
				}
			}
			k := kappa(pairs)
			if k.Low != nil && *k.Low <= c.kappa && c.kappa <= *k.High {
				held++
			}
			switch {
			case k.SE == nil:
				none++
			case math.Abs(*k.At-c.kappa) <= z**k.SE:
				plain++
			}
		}
		n := float64(*seasons)
		t.Logf("%d games of %d, kappa %.1f: held %.3f; by the large-sample error %.3f, with none %.3f", c.games, c.reps, c.kappa, float64(held)/n, float64(plain)/n, float64(none)/n)
		if float64(held)/n < c.least {
			t.Errorf("%d games of %d reps: the interval holds a kappa of %.1f %.3f of the time", c.games, c.reps, c.kappa, float64(held)/n)
		}
	}
}

// Bland and Altman 1986, Lancet i:307–310: peak expiratory flow by two meters (the data
// and the figures from memory). They report a mean difference of -2.1 l/min with a
// standard deviation of 38.8; their limits, by two of these, are -79.7 and 75.5.
func TestLimitsOfAgreement(t *testing.T) {
	large := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	mini := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	var gaps []measure
	for i := range large {
		gaps = append(gaps, measure{at: large[i] - mini[i]})
	}
	a := apart(gaps)
	for _, c := range []struct {
		what      string
		want, got float64
		slack     float64
	}{
		{"mean", -2.1, *a.Mean, .05},
		{"deviation", 38.8, *a.SD, .05},
		{"by two deviations", -79.7, *a.Mean - 2**a.SD, .1},
		{"by two deviations", 75.5, *a.Mean + 2**a.SD, .1},
		// R: qt(.975, 16) is 2.119905.
		{"limit", *a.Mean - 2.119905*math.Sqrt(18./17)**a.SD, *a.LimitLow, 1e-4},
		{"limit", *a.Mean + 2.119905*math.Sqrt(18./17)**a.SD, *a.LimitHigh, 1e-4},
	} {
		if math.Abs(c.want-c.got) > c.slack {
			t.Errorf("%s is %.3f, want %.3f", c.what, c.got, c.want)
		}
	}
}

// The next gap lies within the limits 95 times in 100, however few there were; within 1.96
// standard deviations of the mean of five it lies far less often.
func TestLimitsHoldTheNext(t *testing.T) {
	r := rand.New(rand.NewPCG(1941, 12))
	for _, n := range []int{5, 8, 20} {
		const rounds = 4000
		in, plain := 0, 0
		for range rounds {
			gaps := make([]measure, n)
			for i := range gaps {
				gaps[i].at = r.NormFloat64()
			}
			a, next := apart(gaps), r.NormFloat64()
			if *a.LimitLow <= next && next <= *a.LimitHigh {
				in++
			}
			if math.Abs(next-*a.Mean) <= z**a.SD {
				plain++
			}
		}
		t.Logf("of %d: %.3f, by 1.96 deviations %.3f", n, float64(in)/rounds, float64(plain)/rounds)
		if math.Abs(float64(in)/rounds-.95) > .012 || n == 5 && float64(plain)/rounds > .9 {
			t.Errorf("of %d gaps the limits hold the next %.3f of the time, 1.96 deviations %.3f", n, float64(in)/rounds, float64(plain)/rounds)
		}
	}
}

// opinion is a game's file by somebody, with reps on plays.
func opinion(t *testing.T, v *tags.Vocabulary, id, by string, plays ...string) *tags.Game {
	t.Helper()
	g, faults := tags.ParseGame(id+by, []byte(fmt.Sprintf(`trenchcut: 1
game: {id: %s, by: %q}
film: {endzone: {file: x.mp4}}
people: {a%s: {jersey: 91}, b: {jersey: 92}, c: {}}
plays:
%s`, id, by, by, strings.ReplaceAll(strings.Join(plays, ""), "rusher: a", "rusher: a"+by))), v)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return g
}

func TestAgreements(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	beat := func(play string) string { return strings.Replace(play, "marks: {snap", "marks: {beat: +2.2s, snap", 1) } // of the play
	s := &tags.Season{
		Vocabulary: v,
		Games: []*tags.Game{
			opinion(
				t, v, "g1", "",
				beat(play(1, "dropback", "rusher: a, battle: won, marks: {beat: +2s}", "rusher: b, battle: lost, move: [rip]")),
				play(2, "dropback", "rusher: a, battle: won, outcome: sack, marks: {beat: +2s}", "rusher: c, battle: stalemate"),
				play(3, "dropback", "rusher: a, battle: won"),
				"- {play: 4, type: dropback, in: 4s, out: 5s}\n",
			),
			opinion(t, v, "g2", "abe", play(1, "run", "rusher: a, battle: won")),
		},
		Second: []*tags.Game{
			opinion(
				t, v, "g1", "lee", // whose id of the same man is another
				beat(play(1, "dropback", "rusher: a, battle: stalemate, marks: {beat: +2.1s}", "rusher: b, battle: lost, move: [bull, rip]")),
				play(2, "dropback", "rusher: a, battle: won, marks: {getoff: +0.1s}", "rusher: b, battle: won"),
				play(5, "dropback", "rusher: a, battle: won"),
			),
			opinion(t, v, "g2", "lee", play(1, "run", "rusher: a, battle: won")),
		},
	}
	rate := func(*tags.Rep) tags.Rate { return tags.Rate{Num: 50, Den: 1} }
	told := func(chosen func(*tags.Rep) bool) []string {
		var lines []string
		for _, a := range Agreements(s, chosen, rate) {
			lines = append(lines, fmt.Sprintf("%q %q: %d game, both %d, only %d+%d and %d+%d", a.First, a.Second, a.Games, a.Both, a.OnlyFirst, a.FirstPlays, a.OnlySecond, a.SecondPlays))
			for _, w := range a.Words {
				lines = append(lines, fmt.Sprintf("%s %v+%d %v", w.Key, w.Alike.Count, w.Alike.Unknown, w.Apart))
			}
			for _, m := range a.Times {
				lines = append(lines, fmt.Sprintf("%s %d %d %v", m.Mark, m.Seconds.N, m.One, m.Frames != nil))
			}
		}
		return lines
	}
	same(t, []string{
		`"" "lee": 1 game, both 3, only 1+1 and 1+1`,
		"battle 2/3+0 [{won stalemate 1}]",
		"outcome 0/0+1 []",
		"set 0/0+0 []",
		"first-move 0/1+0 [{rip bull 1}]",
		"beat 1 1 true",
		"getoff 0 1 false",
		`"abe" "lee": 1 game, both 1, only 0+0 and 0+0`,
		"battle 1/1+0 []", "outcome 0/0+0 []", "set 0/0+0 []", "first-move 0/0+0 []",
		"beat 0 0 false", "getoff 0 0 false",
	}, told(func(*tags.Rep) bool { return true }))
	// What the first says chooses a rep; the second's word for it is then compared, whatever
	// it is.
	got := told(func(r *tags.Rep) bool { return r.Battle == "won" })
	same(t, []string{`"" "lee": 1 game, both 2, only 0+1 and 1+1`, "battle 1/2+0 [{won stalemate 1}]"}, got[:2])
	// Who is called first changes no kappa and turns every gap round.
	s.Games, s.Second = s.Second[:1], s.Games[:1]
	same(t, []string{`"lee" "": 1 game, both 3, only 1+1 and 1+1`, "battle 2/3+0 [{stalemate won 1}]"}, told(func(*tags.Rep) bool { return true })[:2])
}

// The order of games, plays and reps changes nothing.
func TestAgreementsInAnyOrder(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for n := range 3 {
		id, text := invent.Game(5, n, 150)
		other := string(text)
		for _, words := range [][2]string{{"battle: won", "battle: stalemate"}, {"set: short", "set: jump"}, {"{id: ", "{by: Ruiz, id: "}} {
			other = strings.Replace(other, words[0], words[1], 1+n*7)
		}
		for _, text := range []string{string(text), other} {
			g, faults := tags.ParseGame(id, []byte(text), v)
			if faults.Grave() > 0 {
				t.Fatal(faults)
			}
			if g.By == "" {
				s.Games = append(s.Games, g)
			} else {
				s.Second = append(s.Second, g)
			}
		}
	}
	said := func() string {
		rate := func(*tags.Rep) tags.Rate { return tags.Rate{Num: 30, Den: 1} }
		data, err := json.Marshal(Agreements(s, func(*tags.Rep) bool { return true }, rate))
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	want := said()
	if len(s.Second) != 3 || !strings.Contains(want, `"Games":3,"Both":4`) || !strings.Contains(want, `"First":"won","Second":"stalemate"`) {
		t.Fatalf("%s: it would prove little", want)
	}
	r := rand.New(rand.NewPCG(3, 3))
	for range 20 {
		for _, games := range [][]*tags.Game{s.Games, s.Second} {
			r.Shuffle(len(games), func(i, j int) { games[i], games[j] = games[j], games[i] })
			for _, g := range games {
				r.Shuffle(len(g.Plays), func(i, j int) { g.Plays[i], g.Plays[j] = g.Plays[j], g.Plays[i] })
				for _, p := range g.Plays {
					r.Shuffle(len(p.Reps), func(i, j int) { p.Reps[i], p.Reps[j] = p.Reps[j], p.Reps[i] })
				}
			}
		}
		if got := said(); got != want {
			t.Fatalf("in another order:\n%s\nwant\n%s", got, want)
		}
	}
}

func TestKappaIsSymmetric(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for range 200 {
		counts, turned := map[[2]string]int{}, map[[2]string]int{}
		for range 5 + r.IntN(60) {
			words := [2]string{fmt.Sprint(r.IntN(4)), fmt.Sprint(r.IntN(4))}
			if r.IntN(2) == 0 {
				words[1] = words[0]
			}
			counts[words]++
			turned[[2]string{words[1], words[0]}]++
		}
		a, b := kappa(pairsOf(counts)), kappa(pairsOf(turned))
		if math.Abs(*a.At-*b.At) > 1e-12 || (a.SE == nil) != (b.SE == nil) || a.SE != nil && math.Abs(*a.SE-*b.SE) > 1e-12 {
			t.Fatalf("%v: %+v, turned round %+v", counts, a, b)
		}
		if *a.At < -1 || *a.At > 1 {
			t.Fatalf("%v: kappa %g", counts, *a.At)
		}
	}
}
