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
	Person              // []string: the key, id, jersey and name he goes by
)

// Fact is one thing that may be known of a rep or of a play.
type Fact struct {
	Name   string // kebab: time-to-beat
	Kind   Kind
	Doc    string
	OfPlay bool // known of a play without any of its reps

	from    string // of a derived fact: the key that is not tagged where it is not known
	whole   bool   // a Number that is always whole
	result  bool   // it tells how the rush ended
	during  bool   // it was decided during the rush, by what the blocker gave
	steps   bool   // its words go up step by step, as closed has them
	list    string // the vocabulary's list that a value must stand in; empty where any may
	closed  []string
	crossed []Fact                     // those it is made of; see [Crossed]
	who     func(subject) *tags.Person // of a Person: him, or nil
	of      func(subject) (any, bool)
	open    func(*tags.Rep) []string // of a list of reads: those of which it is not known whether they are in it
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

// builtin is every fact this program knows of: the fields of the register, each with what
// follows from it behind it. A staff's own columns come on top, and what is said of reads
// comes from rs.
func builtin(rs *reading) []Fact {
	facts := ofGame()
	behind := derivedFacts(rs)
	for _, f := range tags.PlayFields {
		facts = append(facts, withField(fieldFact(f, func(s subject) *tags.Play { return s.play }), behind[f.Name])...)
	}
	for i := range facts {
		facts[i].OfPlay = true
	}
	facts = append(facts, repWord("rep", "", "name of the rep: game, play and jersey", (*tags.Rep).Name))
	for _, f := range tags.RepFields {
		facts = append(facts, withField(fieldFact(f, func(s subject) *tags.Rep { return s.rep }), behind[f.Name])...)
	}
	return facts
}

// withField is a field's fact with those that follow from it behind it; one of its own name
// takes its place.
func withField(field Fact, behind []Fact) []Fact {
	for _, f := range behind {
		if f.Name == field.Name {
			return behind
		}
	}
	return append([]Fact{field}, behind...)
}

func ofGame() []Fact {
	return []Fact{
		playWord("game", "", "id of the game", func(p *tags.Play) string { return p.Game.ID }),
		{
			Name: "date", Kind: Date, Doc: "day of the game, 2026-09-12",
			of: func(s subject) (any, bool) { return s.play.Game.Date, s.play.Game.Date != "" },
		},
		playWord("kind", "kind", "game, scout or practice", func(p *tags.Play) string { return p.Game.Kind }),
		playWord("field", "field", "whose field: pro, college or high-school", func(p *tags.Play) string { return p.Game.Field }),
		playWord("opponent", "", "who the game is against", func(p *tags.Play) string { return p.Game.Opponent }),
	}
}

// kinds is the kinds of facts that fields are.
var kinds = map[tags.Kind]Kind{
	tags.KindWord: Word, tags.KindText: Word, tags.KindClock: Clock, tags.KindWhole: Number,
	tags.KindYesNo: YesNo, tags.KindPerson: Person, tags.KindWords: List, tags.KindTexts: List,
}

// kindNotes is what the meaning of a field of a kind is followed by.
var kindNotes = map[tags.Kind]string{
	tags.KindClock:  ", 2:00; in CEL as seconds",
	tags.KindPerson: ", by id, jersey or name",
}

// fieldFact is a field of the register as a fact; in gives nil where the subject has none.
func fieldFact[T any](f *tags.Field[T], in func(subject) *T) Fact {
	fact := Fact{
		Name: f.Name, Kind: kinds[f.Kind], Doc: f.Doc + kindNotes[f.Kind],
		whole: f.Kind == tags.KindWhole, list: f.WordList(), result: f.Result,
		of: func(s subject) (any, bool) {
			x := in(s)
			if x == nil {
				return nil, false
			}
			switch at := f.At(x).(type) {
			case *string:
				switch f.Kind {
				case tags.KindClock:
					return known(parseClock(*at))
				case tags.KindYesNo:
					return *at == "yes", *at != ""
				}
				return *at, *at != ""
			case *int:
				return int64(*at), true
			case **int:
				if *at != nil {
					return int64(**at), true
				}
			case **tags.Person:
				return person(*at)
			case *[]string:
				return *at, len(*at) > 0
			}
			return nil, false
		},
	}
	if f.Kind == tags.KindPerson {
		fact.who = func(s subject) *tags.Person {
			x := in(s)
			if x == nil {
				return nil
			}
			return *f.At(x).(**tags.Person)
		}
	}
	return fact
}

func known[T any](value T, ok bool) (any, bool) { return value, ok }

// derivedFacts is the facts that follow from fields, by the field after which they are listed.
func derivedFacts(rs *reading) map[string][]Fact {
	times := []Fact{result(repYesNo("beat-in-time", "beat his blocker within the staff's limit and before the ball was out", (*tags.Rep).BeatInTime))}
	for _, m := range tags.AllMarks {
		if m != tags.Snap {
			times = append(times, sinceSnap(m))
		}
	}
	return map[string][]Fact{
		"distance":  {downClass()},
		"yard-line": {toGoal()},
		"qb": {
			{Name: "qb-runs", Kind: YesNo, Doc: "the quarterback is one who runs", of: func(s subject) (any, bool) {
				return s.play.Passer != nil && s.play.Passer.Runs, s.play.Passer != nil
			}},
			{Name: "angle", Kind: List, Doc: "the angles that show the play", of: func(s subject) (any, bool) {
				angles := s.play.Angles()
				return angles, len(angles) > 0
			}},
		},
		"ball-out": {{
			Name: "ball-out", Kind: YesNo, Doc: "the ball was out before a rush gets there, as tagged or by the time of release",
			of: func(s subject) (any, bool) {
				if s.rep != nil {
					return known(s.rep.BallOut())
				}
				return known(s.play.BallOut())
			},
		}},
		"rusher": {
			repWord("team", "", "his team: us, or its name", func(r *tags.Rep) string { return r.Rusher.Team }),
			repWord("position", "", "his position", func(r *tags.Rep) string { return r.Rusher.Position }),
		},
		"side": {
			sideFact("side", "the side he lines up on, as the defense sees it", (*tags.Rep).LeftRight, "left", "right"),
			sideFact("strength-side", "the side he lines up on, by the offense's strong side", (*tags.Rep).StrongWeak, "strong", "weak"),
			sideFact("field-side", "the side he lines up on, by the hash: the field is the wide side", (*tags.Rep).FieldBoundary, "field", "boundary"),
		},
		"blocker": {repWord("blocker-position", "", "the blocker's position: LT, RG …", func(r *tags.Rep) string {
			if r.Blocker == nil {
				return ""
			}
			return r.Blocker.Position
		})},
		"unblocked": {repYesNo("one-on-one", "one blocker, no help, no stunt", (*tags.Rep).OneOnOne), matchup()},
		"called":    moveFacts(),
		"saw": {
			rs.fact("read", "the reads that were there", readNames),
			during(rs.fact("read-taken", "those of them he took", readsTaken)),
			result(rs.fact("read-missed", "those of them he missed: he did not take them and did not win", readsMissed)),
		},
		"battle": {derived("battle", result(repYesNo("won", "he won the battle or drew a hold", (*tags.Rep).Won)))},
		"outcome": {
			derived("outcome", result(repYesNo("pressure", "an outcome that counts as pressure: sack, hit, hurry …", (*tags.Rep).Pressure))),
			derived("outcome", result(repYesNo("pressure-won", "pressure he won himself: no credit says that it was given to him", (*tags.Rep).PressureWon))),
			derived("outcome", result(repYesNo("pressure-given", "pressure that fell to him: clean-up, coverage", (*tags.Rep).PressureGiven))),
			derived("outcome", result(repYesNo("sack", "an outcome that counts as a sack", (*tags.Rep).Sack))),
		},
		"penalty": times,
		"missed-assignment": {result(Fact{
			Name: "production", Kind: Number, Doc: "production points, by the staff's table",
			of: ofRep(func(r *tags.Rep) (any, bool) { return known(r.Production()) }),
		})},
	}
}

// moveFacts is the facts of the moves of a rush.
func moveFacts() []Fact {
	facts := []Fact{
		repWord("first-move", "move", "the move he began with", func(r *tags.Rep) string { return first(moves(r)) }),
		repWord("last-move", "move", "the move he finished with", func(r *tags.Rep) string { return last(moves(r)) }),
		{
			Name: "moves", Kind: Number, whole: true, Doc: "how many moves the rush had",
			of: ofRep(func(r *tags.Rep) (any, bool) { return int64(len(r.Moves)), len(r.Moves) > 0 }),
		},
		repWord("sequence", "", "the moves in order, as the tag file writes them", (*tags.Rep).Sequence),
		repWord("first-family", familyList, "family of the first move", (*tags.Rep).FirstFamily),
		repWord("family", familyList, "family of the last move", (*tags.Rep).Family),
		repWord("path", "path", "path of the last move: outside, through or inside", (*tags.Rep).Path),
		repYesNo("counter", "the path changed to inside or from it, or one move of a counter family ended inside", (*tags.Rep).IsCounter),
		repYesNo("inside-counter", "a counter that ends inside", (*tags.Rep).IsInsideCounter),
		repYesNo("combination", "two moves or more on one path", (*tags.Rep).IsCombination),
	}
	for i := range facts {
		facts[i] = derived("move", facts[i])
		facts[i].during = !strings.HasPrefix(facts[i].Name, "first-")
	}
	all := Fact{Name: "move", Kind: List, during: true, Doc: "every move of the rush: move=spin finds a spin anywhere in it", list: "move"}
	all.of = ofRep(func(r *tags.Rep) (any, bool) { return moves(r), len(r.Moves) > 0 })
	return append([]Fact{all}, facts...)
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

// result is f, which tells how the rush ended.
func result(f Fact) Fact {
	f.result = true
	return f
}

// during is f, which was decided during the rush.
func during(f Fact) Fact {
	f.during = true
	return f
}

func repYesNo(name, doc string, of func(*tags.Rep) (yes, known bool)) Fact {
	return Fact{Name: name, Kind: YesNo, Doc: doc, of: ofRep(func(r *tags.Rep) (any, bool) {
		yes, known := of(r)
		return yes, known
	})}
}

func playWord(name, list, doc string, of func(*tags.Play) string) Fact {
	return Fact{Name: name, Kind: Word, Doc: doc, list: list, of: func(s subject) (any, bool) {
		word := of(s.play)
		return word, word != ""
	}}
}

func toGoal() Fact {
	return Fact{
		Name: "to-goal", Kind: Number, whole: true, from: "yard-line",
		Doc: "yards from the offense to the goal line it attacks, by yard line",
		of: func(s subject) (any, bool) {
			yards, ok := s.play.ToGoal()
			return int64(yards), ok
		},
	}
}

func downClass() Fact {
	f := playWord("down-class", "", "down and distance: first-down, third-long, second-short …, by the staff's distances", (*tags.Play).DownClass)
	f.from, f.steps, f.closed = "down", true, []string{"first-down"}
	for _, ordinal := range []string{"second", "third", "fourth"} {
		for _, class := range []string{"long", "medium", "short", "down"} {
			f.closed = append(f.closed, ordinal+"-"+class)
		}
	}
	return f
}

// sideFact is one way of saying on which side a rep lines up.
func sideFact(name, doc string, of func(*tags.Rep) string, words ...string) Fact {
	f := derived("side", repWord(name, "", doc, of))
	f.closed = words
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
		Name: "time-to-" + string(m), Kind: Seconds, OfPlay: true, Doc: "seconds from the snap to the " + string(m), during: m == tags.Turn, result: m == tags.Beat || m == tags.Release || m == tags.Finish,
		of: func(s subject) (any, bool) {
			since := s.play.Since
			if s.rep != nil {
				since = s.rep.TimeTo
			}
			t, ok := since(m)
			return t.Seconds(), ok
		},
	}
}

// person is every text by which p may be asked for.
func person(p *tags.Person) (any, bool) {
	if p == nil {
		return nil, false
	}
	return p.GoesBy(), true
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
