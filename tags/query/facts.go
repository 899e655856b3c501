// Package query chooses reps and plays by the facts tagged of them. One registry names
// every fact; terms and CEL expressions speak of facts by those names.
package query

import (
	"slices"
	"strings"

	"trenchcut/tags"
)

// Kind is what sort of value a fact has.
type Kind int

// The kinds of fact, and the Go type of their values.
const (
	Word    Kind = iota // string: one word or a text, compared as a whole
	Date                // string: 2026-09-12, which sorts as text
	Number              // float64 or int64
	Clock               // int64: seconds left in the quarter, written 2:00
	Seconds             // float64: seconds since the snap
	YesNo               // bool
	List                // []string, of which any may be meant
	Person              // []string: the id, jersey and name he goes by
)

// Fact is one thing that may be known of a rep or of a play.
type Fact struct {
	Name   string // kebab: time-to-beat
	Kind   Kind
	Doc    string
	OfPlay bool // known of a play without any of its reps

	from   string // of a derived fact: the key that is not tagged where it is not known
	whole  bool   // a Number that is always whole
	list   string // the vocabulary's list that a value must stand in; empty where any may
	closed []string
	of     func(subject) (any, bool)
}

// subject is what a fact is asked of: a rep with its play, or a play by itself.
type subject struct {
	play *tags.Play
	rep  *tags.Rep
}

// CEL is the fact's name in CEL, where a hyphen means minus.
func (f Fact) CEL() string { return strings.ReplaceAll(f.Name, "-", "_") }

// OfRep is the fact of one rep; false where it is not known.
func (f Fact) OfRep(r *tags.Rep) (any, bool) { return f.of(subject{r.Play, r}) }

// OfPlayAlone is the fact of one play whichever its reps; false where it is not known.
func (f Fact) OfPlayAlone(p *tags.Play) (any, bool) { return f.of(subject{play: p}) }

// ordered reports whether < and > mean something between two values.
func (f Fact) ordered() bool {
	return slices.Contains([]Kind{Date, Number, Clock, Seconds}, f.Kind)
}

func (f Fact) many() bool { return f.Kind == List || f.Kind == Person }

// builtin is every fact this program knows of; a staff's own columns come on top, and
// what is said of reads comes from rs.
func builtin(rs *reading) []Fact {
	facts := []Fact{
		playWord("game", "", "id of the game", func(p *tags.Play) string { return p.Game.ID }),
		{
			Name: "date", Kind: Date, Doc: "day of the game, 2026-09-12", OfPlay: true,
			of: func(s subject) (any, bool) { return s.play.Game.Date, s.play.Game.Date != "" },
		},
		playWord("kind", "kind", "game, scout or practice", func(p *tags.Play) string { return p.Game.Kind }),
		playWord("field", "field", "whose field: pro, college or high-school", func(p *tags.Play) string { return p.Game.Field }),
		playWord("opponent", "", "who the game is against", func(p *tags.Play) string { return p.Game.Opponent }),
		playNumber("play", "number of the play in its game", func(p *tags.Play) *int { return &p.Number }),
		playWord("type", "type", "type of play: dropback, screen, run …", func(p *tags.Play) string { return p.Type }),
		playWord("unit", "unit", "defense, offense or special-teams", func(p *tags.Play) string { return p.Unit }),
		playNumber("series", "number of the series in its game", func(p *tags.Play) *int { return p.Series }),
		playNumber("quarter", "quarter; overtime is 5 and up", func(p *tags.Play) *int { return p.Quarter }),
		{
			Name: "clock", Kind: Clock, Doc: "time left in the quarter, 2:00; in CEL as seconds", OfPlay: true,
			of: func(s subject) (any, bool) {
				seconds, ok := parseClock(s.play.Clock)
				return seconds, ok
			},
		},
		playNumber("down", "down, 1 to 4", func(p *tags.Play) *int { return p.Down }),
		playNumber("distance", "yards to go", func(p *tags.Play) *int { return p.Distance }),
		downClass(),
		playWord("yard-line", "", "yard line as the staff writes it", func(p *tags.Play) string { return p.YardLine }),
		toGoal(),
		playWord("hash", "hash", "hash the ball is on", func(p *tags.Play) string { return p.Hash }),
		playWord("personnel", "", "offensive personnel", func(p *tags.Play) string { return p.Personnel }),
		playWord("front", "", "front we line up in", func(p *tags.Play) string { return p.Front }),
		playWord("call", "", "our call", func(p *tags.Play) string { return p.Call }),
		playWord("protection", "protection", "how they protect", func(p *tags.Play) string { return p.Protection }),
		{
			Name: "passer", Kind: Person, Doc: "passer, by id, jersey or name", OfPlay: true,
			of: func(s subject) (any, bool) { return person(s.play.Passer) },
		},
		{
			Name: "passer-runs", Kind: YesNo, Doc: "the passer is one who runs", OfPlay: true,
			of: func(s subject) (any, bool) {
				return s.play.Passer != nil && s.play.Passer.Runs, s.play.Passer != nil
			},
		},

		{
			Name: "angle", Kind: List, Doc: "the angles that show the play", OfPlay: true,
			of: func(s subject) (any, bool) {
				angles := s.play.Angles()
				return angles, len(angles) > 0
			},
		},

		repWord("rep", "", "name of the rep: game, play and jersey", (*tags.Rep).Name),
		{
			Name: "rusher", Kind: Person, Doc: "whose rep it is, by id, jersey or name",
			of: ofRep(func(r *tags.Rep) (any, bool) { return person(r.Rusher) }),
		},
		repWord("team", "", "his team: us, or its name", func(r *tags.Rep) string { return r.Rusher.Team }),
		repWord("position", "", "his position", func(r *tags.Rep) string { return r.Rusher.Position }),
		repWord("job", "job", "what he had to do: rush, contain, spy …", func(r *tags.Rep) string { return r.Job }),
		repWord("align", "align", "where he lined up: 3, 5, wide-9 …", func(r *tags.Rep) string { return r.Align }),
		repWord("side", "side", "left or right", func(r *tags.Rep) string { return r.Side }),
		repWord("stance", "stance", "how he stood", func(r *tags.Rep) string { return r.Stance }),
		repWord("gap", "gap", "his gap, A to D", func(r *tags.Rep) string { return r.Gap }),

		{
			Name: "blocker", Kind: Person, Doc: "who blocked him, by id, jersey or name",
			of: ofRep(func(r *tags.Rep) (any, bool) { return person(r.Blocker) }),
		},
		repWord("blocker-position", "", "the blocker's position: LT, RG …", func(r *tags.Rep) string {
			if r.Blocker == nil {
				return ""
			}
			return r.Blocker.Position
		}),
		repYesNo("unblocked", "nobody blocked him", always(func(r *tags.Rep) bool { return r.Unblocked })),
		repYesNo("one-on-one", "one blocker, no help, no stunt", (*tags.Rep).OneOnOne),
		matchup(),
		repWord("set", "set", "the pass set he met", func(r *tags.Rep) string { return r.Set }),
		repWord("hands", "hands", "the blocker's hands", func(r *tags.Rep) string { return r.Hands }),
		repWord("lean", "lean", "where the blocker leaned", func(r *tags.Rep) string { return r.Lean }),
		repWord("block", "block", "the run block he met", func(r *tags.Rep) string { return r.Block }),
		repWord("help", "help", "the blocker's help; none where there was none", func(r *tags.Rep) string { return r.Help }),
		repWord("stunt", "stunt", "the stunt he was part of", func(r *tags.Rep) string { return r.Stunt }),
		repWord("called", "called", "who called the stunt", func(r *tags.Rep) string { return r.Called }),

		repList("move", "move", "every move of the rush: move=spin finds a spin anywhere in it", moves),
		derived("move", repWord("first-move", "move", "the move he began with", func(r *tags.Rep) string { return first(moves(r)) })),
		derived("move", repWord("last-move", "move", "the move he finished with", func(r *tags.Rep) string { return last(moves(r)) })),
		{
			Name: "moves", Kind: Number, whole: true, from: "move", Doc: "how many moves the rush had",
			of: ofRep(func(r *tags.Rep) (any, bool) { return int64(len(r.Moves)), len(r.Moves) > 0 }),
		},
		derived("move", repWord("sequence", "", "the moves in order, as the tag file writes them", (*tags.Rep).Sequence)),
		derived("move", repWord("first-family", familyList, "family of the first move", (*tags.Rep).FirstFamily)),
		derived("move", repWord("family", familyList, "family of the last move", (*tags.Rep).Family)),
		derived("move", repWord("path", "path", "path of the last move: outside, through or inside", (*tags.Rep).Path)),
		derived("move", repYesNo("counter", "the path changed to inside, or from it", (*tags.Rep).IsCounter)),
		derived("move", repYesNo("inside-counter", "a counter that ends inside", (*tags.Rep).IsInsideCounter)),
		derived("move", repYesNo("combination", "two moves or more on one path", (*tags.Rep).IsCombination)),
		repList("tells", "", "what was there before and at the snap", func(r *tags.Rep) []string { return r.Tells }),
		repList("saw", "saw", "what he could see in the blocker", func(r *tags.Rep) []string { return r.Saw }),
		rs.fact("read", "the reads that were there", func(there, _, _ []string) []string { return there }),
		rs.fact("read-taken", "those of them he took", func(_, taken, _ []string) []string { return taken }),
		rs.fact("read-missed", "those of them he did not take", func(_, _, missed []string) []string { return missed }),

		repWord("battle", "battle", "him against his blocker: won, even or lost", func(r *tags.Rep) string { return r.Battle }),
		derived("battle", repYesNo("won", "he won the battle or drew a hold", (*tags.Rep).Won)),
		repWord("outcome", "outcome", "what became of the play", func(r *tags.Rep) string { return r.Outcome }),
		derived("outcome", repYesNo("pressure", "an outcome that counts as pressure: sack, hit, hurry …", (*tags.Rep).Pressure)),
		derived("outcome", repYesNo("sack", "an outcome that counts as a sack", (*tags.Rep).Sack)),
		repWord("credit", "credit", "what the outcome is owed to", func(r *tags.Rep) string { return r.Credit }),
		repWord("how", "how", "how a run block was lost", func(r *tags.Rep) string { return r.How }),
		repWord("contain", "contain", "whether the edge was owed, kept or lost", func(r *tags.Rep) string { return r.Contain }),
		repWord("penalty", "penalty", "the penalty on the rep", func(r *tags.Rep) string { return r.Penalty }),
		repYesNo("beat-in-time", "beat his blocker within the staff's limit", (*tags.Rep).BeatInTime),
	}
	for _, m := range tags.AllMarks {
		if m != tags.Snap {
			facts = append(facts, sinceSnap(m))
		}
	}
	return append(facts,
		repWord("assignment", "grade", "grade for assignment", func(r *tags.Rep) string { return r.Assignment }),
		repWord("technique", "grade", "grade for technique", func(r *tags.Rep) string { return r.Technique }),
		repWord("effort", "grade", "grade for effort", func(r *tags.Rep) string { return r.Effort }),
		repYesNo("loaf", "he loafed", always(func(r *tags.Rep) bool { return r.Loaf })),
		repYesNo("missed-assignment", "he missed his assignment", always(func(r *tags.Rep) bool { return r.MissedAssignment })),
		Fact{
			Name: "production", Kind: Number, Doc: "production points, by the staff's table",
			of: ofRep(func(r *tags.Rep) (any, bool) { return r.Production() }),
		},
		repWord("taken", "taken", "the staff's own word on whether he took what he saw", func(r *tags.Rep) string { return r.Taken }),
		repWord("note", "", "note to the player", func(r *tags.Rep) string { return r.Note }),
		repWord("point", "", "point to teach", func(r *tags.Rep) string { return r.Point }),
		repWord("model", "", "the rep the staff chose to show beside it", func(r *tags.Rep) string { return r.Model }),
	)
}

// familyList names the words that a vocabulary gives as families of its moves.
const familyList = "family"

func ofRep(of func(*tags.Rep) (any, bool)) func(subject) (any, bool) {
	return func(s subject) (any, bool) {
		if s.rep == nil {
			return nil, false
		}
		return of(s.rep)
	}
}

func repWord(name, list, doc string, of func(*tags.Rep) string) Fact {
	return Fact{Name: name, Kind: Word, Doc: doc, list: list, of: ofRep(func(r *tags.Rep) (any, bool) {
		word := of(r)
		return word, word != ""
	})}
}

// derived is f, which follows from what key tags, so that key is what is said to be missing.
func derived(key string, f Fact) Fact {
	f.from = key
	return f
}

func repList(name, list, doc string, of func(*tags.Rep) []string) Fact {
	return Fact{Name: name, Kind: List, Doc: doc, list: list, of: ofRep(func(r *tags.Rep) (any, bool) {
		words := of(r)
		return words, len(words) > 0
	})}
}

func repYesNo(name, doc string, of func(*tags.Rep) (yes, known bool)) Fact {
	return Fact{Name: name, Kind: YesNo, Doc: doc, of: ofRep(func(r *tags.Rep) (any, bool) {
		yes, known := of(r)
		return yes, known
	})}
}

// always is for what a tag file states by leaving it out.
func always(of func(*tags.Rep) bool) func(*tags.Rep) (bool, bool) {
	return func(r *tags.Rep) (bool, bool) { return of(r), true }
}

func playWord(name, list, doc string, of func(*tags.Play) string) Fact {
	return Fact{Name: name, Kind: Word, Doc: doc, list: list, OfPlay: true, of: func(s subject) (any, bool) {
		word := of(s.play)
		return word, word != ""
	}}
}

func playNumber(name, doc string, of func(*tags.Play) *int) Fact {
	return Fact{Name: name, Kind: Number, whole: true, Doc: doc, OfPlay: true, of: func(s subject) (any, bool) {
		n := of(s.play)
		if n == nil {
			return nil, false
		}
		return int64(*n), true
	}}
}

func toGoal() Fact {
	return Fact{
		Name: "to-goal", Kind: Number, whole: true, OfPlay: true, from: "yard-line",
		Doc: "yards from the offense to the goal line it attacks, by yard line",
		of: func(s subject) (any, bool) {
			yards, ok := s.play.ToGoal()
			return int64(yards), ok
		},
	}
}

func downClass() Fact {
	f := playWord("down-class", "", "down and distance: third-long (7 or more), -medium, -short (2 or less)", (*tags.Play).DownClass)
	f.from, f.closed = "down", []string{"first-down"}
	for _, ordinal := range []string{"second", "third", "fourth"} {
		for _, class := range []string{"long", "medium", "short", "down"} {
			f.closed = append(f.closed, ordinal+"-"+class)
		}
	}
	return f
}

func matchup() Fact {
	f := repWord("matchup", "", "up against one blocker, helped ones, a stunt's or none", (*tags.Rep).Matchup)
	f.closed = []string{"one-on-one", "helped", "stunt", "unblocked"}
	return f
}

// sinceSnap is a mark as seconds after the snap; it is the play's where the rep has none.
func sinceSnap(m tags.Mark) Fact {
	return Fact{
		Name: "time-to-" + string(m), Kind: Seconds, OfPlay: true, Doc: "seconds from the snap to the " + string(m),
		of: func(s subject) (any, bool) {
			since := s.play.Since
			if s.rep != nil {
				since = s.rep.Since
			}
			t, ok := since(m)
			return t.Seconds(), ok
		},
	}
}

// person is every way p may be called.
func person(p *tags.Person) (any, bool) {
	if p == nil {
		return nil, false
	}
	names := []string{p.ID}
	for _, name := range []string{p.Jersey, p.Name} {
		if name != "" {
			names = append(names, name)
		}
	}
	return names, true
}

func moves(r *tags.Rep) []string {
	names := make([]string, len(r.Moves))
	for i, m := range r.Moves {
		names[i] = m.Name
	}
	return names
}

func first(words []string) string {
	if len(words) == 0 {
		return ""
	}
	return words[0]
}

func last(words []string) string {
	if len(words) == 0 {
		return ""
	}
	return words[len(words)-1]
}

// String is the kind in words.
func (k Kind) String() string {
	return [...]string{"word", "date", "number", "clock", "seconds", "yes or no", "list", "person"}[k]
}
