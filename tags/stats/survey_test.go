package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// R's package survey, which knows samples of clusters, has the same standard errors by game:
// of means, of rates, of gaps between two sides with and without kinds told apart, and of kappa.
func TestAgainstSurvey(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Skip("R is not installed: apt-get install r-base-core r-cran-survey")
	}
	r := rand.New(rand.NewPCG(1977, 6))
	var script strings.Builder
	script.WriteString("if (!requireNamespace('survey', quietly = TRUE)) { cat('absent'); quit() }\nsuppressMessages(library(survey))\nsay <- function(...) cat(format(c(...), digits = 12), '\\n')\n")
	var want [][]float64
	ask := func(code string, ours ...float64) {
		script.WriteString(code + "\n")
		want = append(want, ours)
	}
	for range 6 {
		games := 3 + r.IntN(8)
		var list, a, b []measure
		var rate Rate
		var pairs []paired
		var at, of, kind, side, won, one, two []string
		for i := range games * (4 + r.IntN(12)) {
			g := game{when: fmt.Sprint(r.IntN(games))}
			if i < 2*games {
				g.when = fmt.Sprint(i % games) // each game on both sides
			}
			m := measure{of: g, kind: fmt.Sprint(r.IntN(3)), at: float64(r.IntN(200)+20*len(g.when)*int(g.when[0]-'0')) / 1000}
			list = append(list, m)
			if i%2 == i/games%2 {
				a, side = append(a, m), append(side, "1")
			} else {
				b, side = append(b, m), append(side, "0")
			}
			yes := r.IntN(10) < 2+int(g.when[0]-'0')%5
			rate.addGame(g, yes)
			said := paired{g, [2]string{fmt.Sprint(r.IntN(3)), ""}}
			if said.words[1] = said.words[0]; r.IntN(4) == 0 {
				said.words[1] = fmt.Sprint(r.IntN(3))
			}
			pairs = append(pairs, said)
			at, of, kind = append(at, fmt.Sprint(m.at)), append(of, g.when), append(kind, m.kind)
			won = append(won, map[bool]string{true: "1", false: "0"}[yes])
			one, two = append(one, said.words[0]), append(two, said.words[1])
		}
		fmt.Fprintf(&script, "d <- data.frame(y = c(%s), g = c(%s), k = factor(c(%s)), x = c(%s), w = c(%s), a = factor(c(%s), 0:2), b = factor(c(%s), 0:2))\nd <- svydesign(id = ~g, weights = ~1, data = d)\n",
			strings.Join(at, ","), strings.Join(of, ","), strings.Join(kind, ","), strings.Join(side, ","), strings.Join(won, ","), strings.Join(one, ","), strings.Join(two, ","))

		mean := 0.0
		for _, m := range list {
			mean += m.at / float64(len(list))
		}
		ask("m <- svymean(~y, d); say(coef(m), SE(m), degf(d))", mean,
			clustered(byGame(list, func(i int) float64 { return (list[i].at - mean) / float64(len(list)) })), float64(spread(list).Games-1))

		// The effective sample is that of svymean's variance, where games differ more than chance
		// makes them.
		p := float64(rate.K) / float64(rate.N)
		n, _ := rate.sample(tail)
		ask("m <- svymean(~w, d); say(coef(m), min(coef(m) * (1 - coef(m)) / SE(m)^2, nrow(d)))", p, n)

		sorted := append(ofOneKind(a), ofOneKind(b)...)
		d, parts := slope(sorted, len(a))
		ask("m <- svyttest(y ~ x, d); say(coef(svyglm(y ~ x, d))[2], SE(svyglm(y ~ x, d))[2], m$statistic)", d, clustered(byGame(sorted, func(i int) float64 { return parts[i] })),
			d/clustered(byGame(sorted, func(i int) float64 { return parts[i] })))
		sorted = append(append([]measure{}, a...), b...)
		d, parts = slope(sorted, len(a))
		ask("m <- svyglm(y ~ x + k, d); say(coef(m)[2], SE(m)[2])", d, clustered(byGame(sorted, func(i int) float64 { return parts[i] })))

		table := kappaTable(countsOf(pairs))
		ofPair := make([]measure, len(pairs))
		for i, p := range pairs {
			ofPair[i].of = p.of
		}
		ask("k <- svykappa(~a + b, d); say(coef(k), SE(k))", table.kappa(),
			clustered(byGame(ofPair, func(i int) float64 { return table.part(pairs[i].words) / float64(len(pairs)) })))
	}
	cmd := exec.Command(rscript, "--vanilla", "-")
	cmd.Stdin = strings.NewReader(script.String())
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, script.String()[:2000])
	}
	if string(out) == "absent" {
		t.Skip("R's package survey is not installed: apt-get install r-cran-survey")
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(want) {
		t.Fatalf("R gave %d lines, want %d", len(lines), len(want))
	}
	for i, ours := range want {
		for j, word := range strings.Fields(lines[i]) {
			theirs, err := strconv.ParseFloat(word, 64)
			if err != nil || math.Abs(theirs-ours[j]) > 1e-8*(1+math.Abs(theirs)) {
				t.Errorf("line %d: R gives %q, we %v", i, lines[i], ours)
				break
			}
		}
	}
}

func countsOf(pairs []paired) map[[2]string]float64 {
	counts := map[[2]string]float64{}
	for _, p := range pairs {
		counts[p.words]++
	}
	return counts
}

// Means of few games, and gaps between men who played in some of them, hold the truth about 95
// times in 100 though the reps of a game are alike; taken for fresh tries they do not.
func TestMeansByGameHoldTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(53, 6))
	for _, c := range []struct{ games, his, reps int }{{3, 3, 8}, {6, 6, 10}, {10, 4, 12}, {12, 12, 30}} {
		held, plain, apart, welched := 0, 0, 0, 0
		for range *seasons / 2 {
			var his, others []measure
			for g := range c.games {
				// A quarter of the variance is the game's, as with snaps timed by the count.
				day, own := r.NormFloat64()*.015, r.NormFloat64()*.008
				for i := range c.reps * 2 {
					m := measure{of: game{when: fmt.Sprint(g)}, at: .2 + day + r.NormFloat64()*.03}
					switch {
					case i >= c.reps:
						others = append(others, m)
					case g < c.his:
						m.at += own
						his = append(his, m)
					}
				}
			}
			if s := spread(his); *s.Low <= .2 && .2 <= *s.High {
				held++
			}
			if s := spread(freshReps(his)); *s.Low <= .2 && .2 <= *s.High {
				plain++
			}
			if g := gap(his, others); g.Low <= 0 && 0 <= g.High {
				apart++
			}
			if g := welch(numbers(his), numbers(others)); g.Low <= 0 && 0 <= g.High {
				welched++
			}
		}
		n := float64(*seasons / 2)
		t.Logf("%d games, his %d, of %d reps: mean held %.3f, fresh %.3f; gap held %.3f, Welch's %.3f", c.games, c.his, c.reps, float64(held)/n, float64(plain)/n, float64(apart)/n, float64(welched)/n)
		if float64(held)/n < .91 || float64(apart)/n < .91 {
			t.Errorf("%d games, his %d: the mean holds the truth %.3f of the time, the gap %.3f", c.games, c.his, float64(held)/n, float64(apart)/n)
		}
		if c.reps > 20 && float64(plain)/n > .85 {
			t.Errorf("%d games: this invention no longer shows why games count", c.games)
		}
	}
}

// freshReps is measures as if each were a game of its own.
func freshReps(list []measure) []measure {
	fresh := make([]measure, len(list))
	for i, m := range list {
		fresh[i] = measure{at: m.at}
	}
	return fresh
}
