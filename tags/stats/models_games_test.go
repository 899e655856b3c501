package stats

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"trenchcut/tags/stats/fit"
)

// Where a man's reps of one game are alike, what the room's film makes likely of him holds his
// true rate about 95 times in 100; each rep taken for a fresh try, it does not.
func TestRoomsByGameHoldTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(1992, 48))
	for _, c := range []struct{ men, games, reps int }{{4, 4, 15}, {8, 12, 30}} {
		held, plain, all := 0, 0, 0
		for range *seasons / 20 {
			room := Room{Rate: "won"}
			truth := map[string]float64{}
			var fresh []fit.Count
			for m := range c.men {
				name := fmt.Sprint(m)
				truth[name] = beta(r, 9, 21)
				rate := invented(r, c.games, c.reps, truth[name], .07)
				room.Men = append(room.Men, Behind{Name: name, Rate: rate})
				fresh = append(fresh, fit.Count{K: float64(rate.K), N: float64(rate.N)})
			}
			likely, err := fit.Shrink(fresh)
			if err != nil {
				t.Fatal(err)
			}
			for m, e := range likely {
				if at := truth[fmt.Sprint(m)]; e.Low <= at && at <= e.High {
					plain++
				}
			}
			room.shrink()
			for _, m := range room.Men {
				all++
				if at := truth[m.Name]; m.Likely.Low <= at && at <= m.Likely.High {
					held++
				}
			}
		}
		by, without := float64(held)/float64(all), float64(plain)/float64(all)
		t.Logf("%d men, %d games of %d: held %.3f, each rep a fresh try %.3f", c.men, c.games, c.reps, by, without)
		if by < .9 || c.reps == 30 && without > .85 {
			t.Errorf("%d men, %d games of %d: held %.3f, each rep a fresh try %.3f", c.men, c.games, c.reps, by, without)
		}
	}
}

// What a read is worth holds the truth by game, where some games help who takes it.
func TestWorthByGameHoldsTheTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(2007, 4))
	for _, c := range []struct{ men, games, reps int }{{4, 5, 10}, {6, 10, 12}} {
		held, plain, all := 0, 0, 0
		for range *seasons {
			strata := make([]stratum, c.men)
			for g := range c.games {
				// The day helps who takes it, or who does not: their difference is none over all days.
				day := .3 * (2*float64(r.IntN(2)) - 1)
				for m := range strata {
					base := .3 + .05*float64(m%3)
					for range c.reps {
						taken := r.IntN(2) == 0
						p := base
						if taken {
							p += day
						}
						s := &strata[m].other
						if taken {
							s = &strata[m].taken
						}
						s.addGame(game{when: fmt.Sprint(g)}, r.Float64() < p)
					}
				}
			}
			e, err := fit.RiskDifference(pairsWithout(strata, false, game{}))
			by := byGameAtLeast(strata, fit.RiskDifference, func(x float64) float64 { return x }, func(x float64) float64 { return x })
			if err != nil || by == nil {
				continue
			}
			all++
			if e.Low <= 0 && 0 <= e.High {
				plain++
			}
			if by.Low <= 0 && 0 <= by.High {
				held++
			}
		}
		at, without := float64(held)/float64(all), float64(plain)/float64(all)
		t.Logf("%d men, %d games of %d: held %.3f, each rep a fresh try %.3f", c.men, c.games, c.reps, at, without)
		if at < .9 || without > .8 {
			t.Errorf("%d men, %d games of %d: held %.3f, each rep a fresh try %.3f", c.men, c.games, c.reps, at, without)
		}
	}
}
