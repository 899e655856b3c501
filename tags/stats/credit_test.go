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
	// The one of which it is not known brought pressure: of who brought none it is known.
	same(t, Rate{Count: Count{2, 6}, Unknown: 1, Lopsided: true}, s.Headline.PressureWon)
	same(t, true, s.Headline.PressureWon.Bounded())
	same(t, []Part{{"clean-up", 1}, {"coverage", 1}}, s.Given)
}

// Two halves make one sack, as do two rushers of whom nobody says half; by the play it is
// one, whoever shared it, and a play's shares never come to more.
func TestSackShares(t *testing.T) {
	for _, c := range []struct {
		name       string
		reps       []string
		a, b, c    float64
		rates      float64 // the headline's
		sack, play Rate
	}{
		{"half each", []string{"rusher: a, did: [half-sack]", "rusher: b, did: [half-sack]"}, .5, .5, 0, 1, Rate{Count: Count{2, 2}}, Rate{Count: Count{1, 1}}},
		{"nobody says half", []string{"rusher: a, outcome: sack", "rusher: b, outcome: strip-sack"}, .5, .5, 0, 1, Rate{Count: Count{2, 2}}, Rate{Count: Count{1, 1}}},
		{"one says half", []string{"rusher: a, outcome: sack", "rusher: b, did: [half-sack]"}, .5, .5, 0, 1, Rate{Count: Count{2, 2}}, Rate{Count: Count{1, 1}}},
		{"half, the other not tagged", []string{"rusher: a, did: [half-sack]", "rusher: b, outcome: hurry"}, .5, 0, 0, .5, Rate{Count: Count{1, 2}}, Rate{Count: Count{1, 1}}},
		{"alone", []string{"rusher: a, outcome: sack", "rusher: b, outcome: hurry"}, 1, 0, 0, 1, Rate{Count: Count{1, 2}}, Rate{Count: Count{1, 1}}},
		{"half, and two share the rest", []string{"rusher: a, did: [half-sack]", "rusher: b, outcome: sack", "rusher: c, outcome: sack"}, .5, .25, .25, 1, Rate{Count: Count{3, 3}}, Rate{Count: Count{1, 1}}},
		{"three halves", []string{"rusher: a, did: [half-sack]", "rusher: b, did: [half-sack]", "rusher: c, did: [half-sack]"}, 1. / 3, 1. / 3, 1. / 3, 1, Rate{Count: Count{3, 3}}, Rate{Count: Count{1, 1}}},
		{"two halves and a whole", []string{"rusher: a, did: [half-sack]", "rusher: b, did: [half-sack]", "rusher: c, outcome: sack"}, 1. / 3, 1. / 3, 1. / 3, 1, Rate{Count: Count{3, 3}}, Rate{Count: Count{1, 1}}},
		// The man with contain has no rate of rushes, but his sack is the play's.
		{"contain", []string{"rusher: a, battle: lost, outcome: no-factor", "rusher: b, job: contain, outcome: sack"}, 0, 1, 0, 0, Rate{Count: Count{0, 1}}, Rate{Count: Count{1, 1}}},
		{"contain alone", []string{"rusher: b, job: contain, outcome: no-factor"}, 0, 0, 0, 0, Rate{}, Rate{Count: Count{0, 1}}},
		{"contain not tagged", []string{"rusher: a, outcome: no-factor", "rusher: b, job: contain, battle: lost"}, 0, 0, 0, 0, Rate{Count: Count{0, 1}}, Rate{Unknown: 1, Lopsided: true}},
		{"a spy", []string{"rusher: a, outcome: no-factor", "rusher: b, job: spy, outcome: sack"}, 0, 1, 0, 0, Rate{Count: Count{0, 1}}, Rate{Count: Count{1, 1}}},
		{"a spy of whom nothing is tagged", []string{"rusher: a, outcome: no-factor", "rusher: b, job: spy, battle: lost"}, 0, 0, 0, 0, Rate{Count: Count{0, 1}}, Rate{Count: Count{0, 1}}},
		{"a spy alone", []string{"rusher: b, job: spy, outcome: sack"}, 0, 1, 0, 0, Rate{}, Rate{}},
		{"contain, offside", []string{"rusher: a, outcome: no-factor", "rusher: b, job: contain, outcome: sack, penalty: offside"}, 0, 1, 0, 0, Rate{Count: Count{0, 1}}, Rate{Count: Count{0, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			rs, v := season(t, play(1, "dropback", c.reps...))
			got := map[string]float64{}
			for _, g := range Grades(rs) {
				got[g.Name] = g.Sacks
			}
			for name, want := range map[string]float64{"a": c.a, "b": c.b, "c": c.c} {
				same(t, want, got[name])
			}
			s := Dropbacks.Summarise(rs, v)
			same(t, c.rates, s.Headline.Sacks)
			same(t, c.sack, s.Headline.Sack)
			same(t, c.play, s.PlaySack)
		})
	}
}

// A hold he drew is a battle won in every table, whatever else is tagged of it, and whether he
// had him beaten is as unknown as of any win with no beat marked.
func TestHoldsDrawn(t *testing.T) {
	rs, v := season(
		t, play(1, "dropback", "rusher: a, penalty: drew-hold, outcome: no-factor")+
			play(2, "dropback", "rusher: a, penalty: drew-hold, battle: lost, outcome: no-factor")+
			play(3, "dropback", "rusher: a, penalty: drew-hold, battle: stalemate, marks: {beat: +2s, release: +3s}")+
			play(4, "dropback", "rusher: a, battle: lost, marks: {release: +3s}"),
	)
	s := Dropbacks.Summarise(rs, v)
	same(t, 3, s.DrewHold)
	same(t, Rate{Count: Count{3, 4}, Lopsided: true}, s.Headline.Won)
	same(t, Rate{Count: Count{1, 2}, Unknown: 2, Lopsided: true}, s.Headline.BeatInTime)
	at := Dropbacks.TimesToBeat(rs, nil)[0]
	same(t, 3, at.Held)
	same(t, s.Headline.BeatInTime, at.InTime)
	h := Dropbacks.Holds(rs, nil)[0]
	same(t, 3, h.Held)
	same(t, 2, h.Unmarked)
	sheet := Grades(rs)[0]
	same(t, 3, sheet.Held)
	same(t, 3.0, *sheet.Points) // a point each, by the staff's table
	same(t, Rate{Count: Count{3, 4}, Lopsided: true}, Dropbacks.Seasons(rs, nil)[0].Weeks[0].Won)
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
