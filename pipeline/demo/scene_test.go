package demo

import (
	"math"
	"testing"

	"trenchcut/tags"
)

// scenes calls f with every play of the season.
func scenes(t *testing.T, f func(t *testing.T, p *tags.Play, s *scene)) {
	games, _ := theSeason(t)
	for _, g := range games {
		for _, p := range g.Plays {
			t.Run(p.Name(), func(t *testing.T) { f(t, p, newScene(p)) })
		}
	}
}

const armsLength = 2.0 // feet

func apart(a, b point) float64 { return a.sub(b).length() }

func TestElevenASideAndNumbersOnce(t *testing.T) {
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		count := map[bool]int{}
		numbers := map[discID]bool{}
		for _, m := range s.men {
			count[m.ours]++
			id := discID{ours: m.ours, number: m.number}
			if numbers[id] {
				t.Errorf("number %s is on the field twice", m.number)
			}
			numbers[id] = true
		}
		if count[true] != 11 || count[false] != 11 {
			t.Errorf("%d of ours against %d of theirs, want 11 each", count[true], count[false])
		}
	})
}

func TestNobodyMovesBeforeTheSnap(t *testing.T) {
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		for _, m := range s.men {
			for _, at := range []float64{-3.5, -1, -0.01} {
				if d := apart(m.at(at), m.at(0)); d != 0 {
					t.Errorf("%s is %.2f ft from his place %.2f s before the snap", m.number, d, -at)
				}
			}
		}
		if at, _ := s.flight(-1); at != (point{}) {
			t.Errorf("the ball lies at %v before the snap", at)
		}
		if at, _ := s.flight(snapFlight + 0.01); apart(at, s.passer(s.slowed(snapFlight))) > armsLength {
			t.Error("the ball does not go to the passer at the snap")
		}
	})
}

// No man moves faster than a sprinter does, 30 ft/s with room to spare (from memory), nor
// jumps from one place to another.
func TestNobodyOutrunsASprinter(t *testing.T) {
	const step = 0.01
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		for _, m := range s.men {
			fastest, when := 0.0, 0.0
			for at := 0.0; at < s.finish+1; at += step {
				if v := apart(m.at(at), m.at(at+step)) / step; v > fastest {
					fastest, when = v, at
				}
			}
			if fastest > 30 {
				t.Errorf("%s runs %.0f ft/s at %.2f s", m.number, fastest, when)
			}
		}
	})
}

// ahead is how far past his blocker a rusher's hips are, in feet toward the man with the
// ball; negative in front of him.
func ahead(p *pair, t float64, ball point) float64 {
	to := p.guarding(t).toward(ball)
	d := p.rusher(t).sub(p.guarding(t))
	return d.x*to.x + d.y*to.y
}

func TestMarksAreWhatIsSeen(t *testing.T) {
	checked := map[tags.Mark]int{}
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		if s.tagged != len(p.Reps) {
			t.Fatalf("%d tagged reps move, want %d", s.tagged, len(p.Reps))
		}
		for i, r := range p.Reps {
			u := s.pairs[i]
			start := u.rusher(0)
			mark := func(m tags.Mark, check func(at float64)) {
				if _, own := r.Marks.At(m); own {
					since, _ := r.Since(m)
					checked[m]++
					check(since.Seconds())
				}
			}
			if r.Blocker != nil && r.Blocker.Position != u.blocker {
				t.Errorf("%s is blocked by the %s, want the %s", r.Name(), u.blocker, r.Blocker.Position)
			}
			mark(tags.Getoff, func(at float64) {
				if d := apart(u.rusher(at-0.02), start); d > 0 {
					t.Errorf("%s has moved %.2f ft before his get-off", r.Name(), d)
				}
				if d := apart(u.rusher(at+0.25), start); d < 0.05 {
					t.Errorf("%s has moved only %.2f ft 0.25 s after his get-off", r.Name(), d)
				}
			})
			mark(tags.Contact, func(at float64) {
				if d := apart(u.rusher(at), u.guarding(at)); d > 2*radius+0.1 {
					t.Errorf("%s is %.2f ft from his blocker at contact", r.Name(), d)
				}
				if d := apart(u.rusher(at-0.1), u.guarding(at-0.1)); d < 2*radius+0.1 {
					t.Errorf("%s touches his blocker before contact: %.2f ft", r.Name(), d)
				}
			})
			mark(tags.Beat, func(at float64) {
				ball := s.passer(at)
				if u.run {
					ball = u.aim
				}
				if d := ahead(u, at, ball); d <= 0 {
					t.Errorf("%s is %.2f ft short of his blocker's hips at the beat", r.Name(), -d)
				}
				if d := ahead(u, at-0.25, ball); d >= 0 {
					t.Errorf("%s is %.2f ft past his blocker before the beat", r.Name(), d)
				}
			})
			if _, beat := r.Marks.At(tags.Beat); !beat && r.Battle != "won" && !u.run {
				if d := ahead(u, u.finish, u.aim); d >= 0 {
					t.Errorf("%s is %.2f ft past his blocker, with no beat", r.Name(), d)
				}
			}
			switch r.Outcome {
			case "sack", "strip-sack":
				if d := apart(u.rusher(s.finish), s.passer(s.finish)); d > 2*radius+0.3 {
					t.Errorf("%s has the sack, %.1f ft from the passer", r.Name(), d)
				}
			}
		}
	})
	for _, m := range []tags.Mark{tags.Getoff, tags.Contact, tags.Beat} {
		if checked[m] < 8 {
			t.Errorf("%d marks of %s checked, want 8 at least", checked[m], m)
		}
	}
}

func TestBallLeavesThePasserAtTheRelease(t *testing.T) {
	thrown := 0
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		release, ok := p.Since(tags.Release)
		if !ok {
			if !math.IsInf(s.release, 1) {
				t.Error("the ball is thrown with no release marked")
			}
			return
		}
		thrown++
		at := release.Seconds()
		gap := func(t float64) float64 {
			ball, _ := s.flight(t)
			return apart(ball, s.passer(s.slowed(t)))
		}
		if d := gap(at - 0.01); d > armsLength {
			t.Errorf("the ball is %.1f ft from the passer before the release", d)
		}
		if d := gap(at + 0.15); d < 3 {
			t.Errorf("the ball is %.1f ft from the passer 0.15 s after the release, want 3 at least", d)
		}
	})
	if thrown < 8 {
		t.Errorf("%d passes thrown, want 8 at least", thrown)
	}
}

// Which way each set goes: a tackle's place two thirds of a second after the snap.
func TestSetsLookLikeThemselves(t *testing.T) {
	at := func(set string) point {
		u := &rush{
			side: 1, start: point{aligns["9"], offBall}, set: set, battle: "lost", paths: []string{"outside"},
			getoff: 0.2, contact: 0.9, finish: 3.5,
		}
		p := newPair(u, linemen["RT"], func(float64) point { return point{0, -22} })
		return p.guarding(0.66).sub(linemen["RT"])
	}
	vertical, angle, short, jump, overset := at("vertical"), at("angle"), at("short"), at("jump"), at("overset")
	switch {
	case vertical.y > -2 || vertical.x > -vertical.y/3:
		t.Errorf("vertical goes %v, want straight back", vertical)
	case math.Abs(angle.x+angle.y) > 0.3*angle.x || angle.x < 1:
		t.Errorf("angle goes %v, want 45° out and back", angle)
	case short.y < -3 || short.y > -1:
		t.Errorf("short goes %v, want one to three feet", short)
	case jump.y <= 0:
		t.Errorf("jump goes %v, want forward", jump)
	case overset.x < angle.x*1.4:
		t.Errorf("overset goes %v, want much wider than angle's %v", overset, angle)
	}
}

func TestStuntsCross(t *testing.T) {
	crossed := 0
	scenes(t, func(t *testing.T, p *tags.Play, s *scene) {
		var first, second *pair
		for i, r := range p.Reps {
			switch r.Job {
			case "penetrator":
				first = s.pairs[i]
			case "looper":
				second = s.pairs[i]
			}
		}
		if first == nil || second == nil {
			return
		}
		crossed++
		wider := func(at float64) float64 { return math.Abs(second.rusher(at).x) - math.Abs(first.rusher(at).x) }
		if wider(0) <= 0 || wider(second.contact) >= 0 {
			t.Errorf("the looper is %.1f ft outside the penetrator at the snap and %.1f at contact: they do not cross", wider(0), wider(second.contact))
		}
		for at := 0.0; at < second.contact; at += 0.02 {
			if d := apart(first.rusher(at), second.rusher(at)); d < 2*radius-0.3 {
				t.Errorf("they run into each other at %.2f s: %.1f ft apart", at, d)
				break
			}
		}
	})
	if crossed < 2 {
		t.Errorf("%d stunts, want 2", crossed)
	}
}
