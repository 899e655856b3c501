package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"trenchcut/tags"
)

func TestLikes(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, move: [bull], battle: won", "rusher: b, move: [rip], battle: won")+
			play(2, "dropback", "rusher: a, move: [bull, spin], battle: lost", "rusher: b, move: [rip], battle: lost")+
			play(3, "dropback", "rusher: a, move: [bull, spin], battle: won", "rusher: b, battle: won")+
			play(4, "dropback", "rusher: a, move: [rip, spin], battle: won", "rusher: c, move: [rip], outcome: hurry"),
	)
	last := func(r *tags.Rep) []string {
		if len(r.Moves) == 0 {
			return nil
		}
		return []string{lastMove(r)}
	}
	// Of the three spins two began with a's bull, of which the other was won; nobody else's rip
	// is like a's, and of c's no battle is known.
	same(t, map[string]Like{
		"spin":    {Reps: 2, Others: 1, Won: 1, Expected: 2},
		"bull":    {Reps: 1, Others: 2, Won: 1, Expected: 0.5},
		"rip":     {},
		NotTagged: {},
	}, Likes(reps, last))
}

// Every rush begins with the bull or the rip, which win at once as often; who does not goes
// on to the spin half of the time, which wins as often once more. By first move both win
// alike, as is true. By last move the opener that won at once stands without those it lost to
// the counter, and reads half as much again as it would ever win.
func TestFirstMoveTellsTheTruth(t *testing.T) {
	const each = 0.2
	r := rand.New(rand.NewPCG(2, 11))
	type tally = map[string]Count
	first, last := tally{}, tally{}
	add := func(of tally, name string, won bool) {
		c := of[name]
		c.add(won)
		of[name] = c
	}
	for range 40000 {
		opener := []string{"bull", "rip"}[r.IntN(2)]
		move, won := opener, r.Float64() < each
		if !won && r.IntN(2) == 0 {
			move, won = "spin", r.Float64() < each
		}
		add(first, opener, won)
		add(last, move, won)
	}
	share := func(c Count) float64 { return float64(c.K) / float64(c.N) }
	if gap := share(first["bull"]) - share(first["rip"]); math.Abs(gap) > 0.015 {
		t.Errorf("by first move two openers that are alike lie %.3f apart", gap)
	}
	if want := each + (1-each)/2*each; math.Abs(share(first["bull"])-want) > 0.015 {
		t.Errorf("by first move the bull reads %.3f, want %.3f", share(first["bull"]), want)
	}
	if got := share(last["bull"]); got < 0.31 {
		t.Errorf("by last move the bull reads %.3f: this invention no longer shows why it misleads", got)
	}
	if fmt.Sprintf("%.1f", share(last["spin"])) != "0.2" {
		t.Errorf("by last move the spin reads %.3f", share(last["spin"]))
	}
}
