package demo

import (
	"math"
	"slices"

	"trenchcut/tags"
)

// rush is one man against one blocker, from tags where they say and else by habit. Times
// are seconds from the snap.
type rush struct {
	number string
	start  point
	side   float64 // -1 left, 1 right of the ball: which way is outside
	inside bool    // he lines up inside the tackle
	run    bool    // against a run: the block goes forward

	job     string
	blocker string // position of the man who blocks him; empty for none
	set     string
	block   string
	help    string
	wide    bool // the tight end who chips stands wide

	paths   []string // of each move
	family  string
	battle  string
	outcome string
	how     string
	held    bool
	batted  bool

	getoff, contact, turn, beat, release, finish float64
	turns, beats                                 bool
}

// newRush reads a rep; finish and release are the play's.
func newRush(r *tags.Rep, release, finish float64) *rush {
	side := 1.0
	if r.LeftRight() == "right" { // over the offense's left
		side = -1
	}
	u := &rush{
		number: r.Rusher.Jersey, side: side, run: r.Play.Type == "run",
		start: point{side * aligns[r.Align], offBall},
		job:   r.Job, set: r.Set, block: r.Block, help: r.Help,
		family: r.Family(), battle: r.Battle, outcome: r.Outcome, how: r.How,
		held: r.Penalty == "drew-hold", batted: slices.Contains(r.Did, "batted"), release: release, finish: finish,
	}
	if r.Align == "" {
		u.start.x = side * aligns["5"]
	}
	if r.Blocker != nil {
		u.blocker = r.Blocker.Position
	}
	for _, m := range r.Moves {
		u.paths = append(u.paths, m.Path)
	}
	u.wide = slices.Contains(r.Saw, "chip-wide")
	if slices.Contains(r.Saw, "overset") {
		u.set = "overset"
	}
	u.inside = math.Abs(u.start.x) < aligns["4"]
	u.time(r)
	return u
}

// time takes the marks of a rep, and fills in what is not marked.
func (u *rush) time(r *tags.Rep) {
	mark := func(m tags.Mark, otherwise float64) (float64, bool) {
		if r != nil {
			if t, ok := r.Since(m); ok {
				return t.Seconds(), true
			}
		}
		return otherwise, false
	}
	u.getoff, _ = mark(tags.Getoff, 0.22)
	usual := 0.86
	if u.inside || u.run {
		usual = 0.50
	}
	u.contact, _ = mark(tags.Contact, usual)
	u.turn, u.turns = mark(tags.Turn, u.contact+0.5)
	u.turns = u.turns || len(u.paths) > 1
	u.finish, _ = mark(tags.Finish, u.finish)
	u.beat, u.beats = mark(tags.Beat, clamp(2.1, u.turn+0.5, u.finish-0.6))
	u.beats = u.beats || u.battle == "won" && !u.run && u.job != "penetrator"
}

// first and last path of his moves: outside where none is tagged.
func (u *rush) firstPath() string {
	if len(u.paths) == 0 {
		return "outside"
	}
	return u.paths[0]
}

func (u *rush) lastPath() string {
	if len(u.paths) == 0 {
		return "outside"
	}
	return u.paths[len(u.paths)-1]
}
