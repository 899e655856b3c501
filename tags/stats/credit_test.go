package stats

import (
	"testing"

	"trenchcut/tags"
)

// Pressure that fell to him is told apart; where neither credit nor battle is tagged it is
// not known whose it was.
func TestPressureGiven(t *testing.T) {
	rs, v := reps(
		t,
		"1: battle: won, outcome: sack",
		"1: battle: won, outcome: hurry, credit: coverage",
		"1: battle: lost, outcome: hit, credit: clean-up",
		"1: battle: lost, outcome: flush",
		"1: battle: lost, outcome: no-factor",
		"1: battle: won, did: [missed-sack, missed-tackle]",
		"1: battle: stalemate, did: [batted]",
	)
	s := Dropbacks.Summarise(rs, v)
	same(t, Rate{Count: Count{5, 7}, Unknown: 0}, s.Headline.Pressure)
	same(t, Rate{Count: Count{2, 6}, Unknown: 1}, s.Headline.PressureWon)
	same(t, []Part{{"clean-up", 1}, {"coverage", 1}}, s.Given)
}

// Two halves make one sack, as do two rushers of whom nobody says half.
func TestSackShares(t *testing.T) {
	rs, v := season(
		t, play(1, "dropback", "rusher: a, did: [half-sack]", "rusher: b, did: [half-sack]")+
			play(2, "dropback", "rusher: a, outcome: sack", "rusher: b, outcome: strip-sack")+
			play(3, "dropback", "rusher: a, outcome: sack", "rusher: b, outcome: hurry")+
			play(4, "screen", "rusher: b, did: [half-sack]"),
	)
	got := map[string]float64{}
	for _, g := range Grades(rs) {
		got[g.Name] = g.Sacks
	}
	same(t, map[string]float64{"a": 2, "b": 1.5}, got)
	same(t, Rate{Count: Count{3, 3}, Unknown: 0}, Dropbacks.Summarise(rs, v).PlaySack)
}

// Rates are of dropbacks, and of other passes only where those were what was asked for.
func TestScope(t *testing.T) {
	rs, v := season(
		t, play(1, "screen", "rusher: a, battle: won", "rusher: b, battle: lost")+
			play(2, "quick", "rusher: a, battle: won")+
			play(3, "run", "rusher: a, battle: won"),
	)
	back, _ := season(t, play(1, "dropback", "rusher: a, battle: won"))
	for _, c := range []struct {
		name  string
		reps  []*tags.Rep
		asked bool
		plays string
		n     int
	}{
		{"not asked for", rs, false, "dropbacks", 0},
		{"asked for", rs, true, "quick and screen plays", 3},
		{"with a dropback", append(back, rs...), true, "dropbacks", 1},
		{"runs alone", rs[3:], true, "dropbacks", 0},
		{"none", nil, true, "dropbacks", 0},
	} {
		in := ScopeOf(c.reps, c.asked)
		if got := in.Plays(); got != c.plays {
			t.Errorf("%s: rates are of %s, want %s", c.name, got, c.plays)
		}
		if got := in.Summarise(c.reps, v).Headline.Won.N; got != c.n {
			t.Errorf("%s: %d reps count, want %d", c.name, got, c.n)
		}
	}
	same(t, "On quick and screen plays: won 2 of 3: too few for a rate.", ScopeOf(rs, true).Summarise(rs, v).Sentence())
}

// Reps of another unit are never counted as ours in silence.
func TestAnotherUnitStandsApart(t *testing.T) {
	rs, v := reps(t, "1: battle: won")
	rs[0].Play.Unit = "offense"
	s := Dropbacks.Summarise(rs, v)
	same(t, []Part{{"of the unit offense", 1}}, s.Apart)
}
