package tags

import "slices"

// Lesson is what to do better on a rep that was not won.
type Lesson struct {
	// Says is what to do: the coach's own words alone or, where there are none, what was there
	// to see, or else what to put right in the move.
	Says []string
	From LessonFrom
	Read string // the first that was missed, where that is what it is from
	Move Word   // to practise; without a name where there is none
	// Unsure says that the coach's words may as well be praise: the tags do not say.
	Unsure bool
}

// LessonFrom is whose word a lesson is.
type LessonFrom int

// The sources of lessons, the weightiest first.
const (
	FromCoach LessonFrom = iota
	FromRead
	FromMove
)

// mostReads is how many missed reads are told of one rep.
const mostReads = 2

// Lesson returns what to do better on a rep, of which missed are the reads it missed: the coach's
// point; or his note, with own, which says that only the player hears it; else the reads; else the
// fix of the last move. It is false where there is none: the rep was won or that is not known, the
// coach praised it, or he wrote only what this audience does not hear.
func (r *Rep) Lesson(missed []Read, own bool) (Lesson, bool) {
	if won, known := r.Won(); won || !known {
		return Lesson{}, false
	}
	var l Lesson
	move, ok := r.practised(missed)
	if ok {
		l.Move = move
	}
	switch {
	case r.Praised():
		return Lesson{}, false
	case r.Point != "":
		l.Says, l.Unsure = []string{r.Point}, r.Praise == ""
	case r.Note != "" && own:
		l.Says, l.Unsure = []string{r.Note}, r.Praise == ""
	case len(missed) > 0:
		l.From, l.Read = FromRead, missed[0].Name
		for _, rd := range missed[:min(len(missed), mostReads)] {
			l.Says = append(l.Says, rd.Why)
		}
	case r.Coached():
		return Lesson{}, false
	case ok && move.Fix != "":
		l.From, l.Says = FromMove, []string{move.Fix}
	default:
		return Lesson{}, false
	}
	return l, true
}

// practised is the move to practise: one that takes all the reads that were missed, else the
// last of the rush, with which it was not won.
func (r *Rep) practised(missed []Read) (Word, bool) {
	list := r.Play.Game.vocabulary.List("move")
	if len(missed) > 0 {
		for _, w := range list.Words {
			if !slices.ContainsFunc(missed, func(rd Read) bool { return !rd.CallsFor(w) }) {
				return w, true
			}
		}
		return Word{}, false
	}
	if len(r.Moves) == 0 {
		return Word{}, false
	}
	return list.Find(r.Moves[len(r.Moves)-1].Name)
}
