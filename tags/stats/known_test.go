package stats

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
)

// plays is one play after another, from the first number on, each with the reps of one line.
func plays(kind string, first int, lines ...string) string {
	var all strings.Builder
	for i, line := range lines {
		all.WriteString(play(first+i, kind, line))
	}
	return all.String()
}

// Of reps with no battle tagged a hold that he drew tells of wins, and nothing of losses: then no
// more than bounds can be told, and no model says anything.
func TestWonByHoldsAlone(t *testing.T) {
	holds := make([]string, 0, 12)
	for i := range 12 {
		line := "rusher: a, outcome: no-factor, align: '5', blocker: {who: x, set: short}, help: none"
		if i < 6 {
			line += ", penalty: drew-hold"
		}
		holds = append(holds, line)
	}
	rs, v := season(t, plays("dropback", 1, holds...), plays("dropback", 1, "rusher: b, battle: won", "rusher: b, battle: lost"), plays("dropback", 1, "rusher: b, battle: lost"))
	s := Dropbacks.Summarise(rs, v)
	if won := s.Headline.Won; !won.Bounded() || won.K != 7 || won.N != 9 || won.Unknown != 6 {
		t.Errorf("won %v, bounded %v", won, won.Bounded())
	}
	if low, high := s.Headline.Won.Bounds100(); low != 47 || high != 87 {
		t.Errorf("from %d to %d in 100, want 7 and 13 of 15", low, high)
	}
	if got := s.Sentence(); !strings.HasPrefix(got, "Won 7 of 9, 6 not known: of these reps 47 to 87 in 100, and anything from ") {
		t.Errorf("%q", got)
	}
	room := Dropbacks.Rooms(rs)[0]
	if room.Why == "" || room.Men[0].Likely != nil {
		t.Errorf("a room of holds alone says %+v", room)
	}
	if got := room.Men[0].Sentence("won"); got != "#91 Ann won 6 of 6, 6 not known." {
		t.Errorf("%q", got)
	}
	if p := Dropbacks.PairsOf(rs); len(p.Rushers) != 0 || p.Untagged != 15 {
		t.Errorf("pairs of battles that are not tagged: %+v", p)
	}
	if e := Dropbacks.ExpectedOf(rs); e.Reps != 0 {
		t.Errorf("%d battles that are not tagged are in the model", e.Reps)
	}
}

// Of whom much is known it is not said that there is too little of him, though his room carries no
// model.
func TestRoomSentence(t *testing.T) {
	lines := make([]string, 12)
	for i := range lines {
		lines[i] = fmt.Sprintf("rusher: a, battle: %s", []string{"won", "lost"}[i%2])
	}
	rs, _ := season(t, plays("dropback", 1, lines...))
	room := Dropbacks.Rooms(rs)[0]
	if got := room.Men[0].Sentence("won"); room.Why == "" || got != "#91 Ann won 6 of 12." {
		t.Errorf("%q: %q", room.Why, got)
	}
}

// Where contain is tagged of nobody, an edge that was set is no rate of all edges.
func TestEdgeWithNoContainTagged(t *testing.T) {
	rs, v := season(t, plays("run", 1, "rusher: a, battle: won, outcome: edge-set", "rusher: a, battle: lost, outcome: no-factor", "rusher: b, battle: won, outcome: edge-set"))
	for _, run := range Runs(rs, v) {
		same(t, Rate{}, run.Edge)
	}
	rs, v = season(t, plays("run", 1, "rusher: a, battle: won, outcome: edge-set", "rusher: a, battle: lost, contain: lost"))
	same(t, Rate{Count: Count{1, 2}}, Runs(rs, v)[0].Edge)
}

// A win with no beat marked is left out of how long blockers hold, and a loss is not: it is counted
// what that leaves out.
func TestWinsLeftOutOfHolds(t *testing.T) {
	rs, _ := season(t, plays("dropback", 1,
		"rusher: a, battle: won", "rusher: a, outcome: hurry, penalty: drew-hold", "rusher: a, battle: lost", "rusher: a, outcome: hit",
		"rusher: a, battle: won, marks: {beat: +2s}", "rusher: a, battle: lost, marks: {finish: +3s}"))
	h := Dropbacks.Holds(rs, nil)[0]
	same(t, []int{2, 4, 2}, []int{h.Curve.Watches, h.Unmarked, h.WonUnmarked})
}

// What a blocker saw last is what was shown on any rep, chosen or not, and not known after a rush
// with no move tagged. Who fits a run shows no move.
func TestSequenceOfTheWholeSeason(t *testing.T) {
	rs, _ := season(t, plays("dropback", 1,
		"rusher: a, blocker: {who: x}, move: [bull], battle: lost",
		"rusher: a, blocker: {who: x}, move: [rip], battle: lost",
		"rusher: a, blocker: {who: x}, move: [bull], battle: won",
		"rusher: a, blocker: {who: x}, battle: lost",
		"rusher: a, blocker: {who: x}, move: [bull], battle: won")+
		plays("run", 6, "rusher: a, blocker: {who: x}, battle: won")+
		plays("dropback", 7, "rusher: a, blocker: {who: x}, move: [spin], battle: won"))
	bulls := filter(rs, func(r *tags.Rep) bool { return r.FirstMove() == "bull" })
	told := func(s Sequences) string {
		var all []string
		for _, a := range s.Followers {
			line := a.Shown
			if a.Twice {
				line += " twice"
			}
			for _, n := range a.Next {
				line += fmt.Sprintf(" > %s %d", n.Name, n.Reps)
			}
			all = append(all, line)
		}
		return fmt.Sprintf("%s; %d first, %d untagged, %d unseen", strings.Join(all, ", "), s.Firsts, s.Untagged, s.Unseen)
	}
	same(t, "bull > rip 1 > spin 1, rip > bull 1; 1 first, 1 untagged, 1 unseen", told(Dropbacks.Sequence(rs, rs)))
	same(t, "rip > bull 1; 1 first, 0 untagged, 1 unseen", told(Dropbacks.Sequence(bulls, rs)))
}

// A stunt's play had pressure by any of its rushers, though one of them alone was asked for.
func TestStuntOfOneRusher(t *testing.T) {
	rs, v := season(t, play(1, "dropback", "rusher: a, job: penetrator, stunt: tackle-end, battle: lost, outcome: no-factor, credit: freed-looper", "rusher: b, job: looper, stunt: tackle-end, battle: won, outcome: sack")+
		play(2, "dropback", "rusher: a, job: penetrator, stunt: tackle-end, battle: lost, outcome: no-factor", "rusher: b, job: looper, stunt: tackle-end, battle: lost")+
		play(3, "dropback", "rusher: b, job: looper, stunt: tackle-end, battle: won, outcome: sack"))
	of := filter(rs, func(r *tags.Rep) bool { return r.Rusher.ID == "a" })
	kind := Dropbacks.StuntsOf(of, v).Kinds[0]
	same(t, 2, kind.Plays)
	same(t, Rate{Count: Count{1, 1}, Unknown: 1, Lopsided: true}, kind.PlayPressure)
	same(t, 2, kind.Roles[0].Reps)
}

// Marks that are all the same tell nothing of how sure their mean is, nor that it lies apart from
// another such.
func TestEqualTimes(t *testing.T) {
	both := slices.Repeat([]string{"rusher: a, battle: won, marks: {getoff: +0.1s}", "rusher: b, battle: won, marks: {getoff: +0.2s}"}, 5)
	rs, _ := season(t, plays("dropback", 1, both...))
	offs := GetOffs(rs, Rusher, func(*tags.Rep) tags.Rate { return tags.Rate{} })
	if all := offs[0]; all.Low == nil || all.Hedge() != "small sample" {
		t.Errorf("of all: %+v, %q", all.Spread, all.Hedge())
	}
	for _, g := range offs[1:] {
		if g.Mean == nil || *g.SD != 0 || g.Low != nil || g.High != nil || g.Gap != nil || g.Hedge() != "small sample" {
			t.Errorf("%s: %+v, gap %+v, %q", g.Name, g.Spread, g.Gap, g.Hedge())
		}
	}
	list := make([]measure, 6)
	if a := apart(list); a.Mean == nil || a.Low != nil || a.LimitLow != nil || a.LimitHigh != nil {
		t.Errorf("of six gaps that are none: %+v", a)
	}
}
