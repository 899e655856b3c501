package stats

import (
	"slices"
	"strings"

	"trenchcut/tags"
)

// Scope is the kinds of play on which a rush of the passer counts: dropbacks, unless other
// passes were what was asked for (common practice). They stand in order of name.
type Scope []string

// Dropbacks is the scope of every question that does not ask for another kind of play.
var Dropbacks = Scope{"dropback"}

// ScopeOf is the scope of chosen reps. Where the question names kinds of play (typeAsked)
// and no dropback is among the reps, it is the passes they are on: screens are told of
// screens, and never mixed with dropbacks.
func ScopeOf(reps []*tags.Rep, typeAsked bool) Scope {
	if !typeAsked {
		return Dropbacks
	}
	var types []string
	for _, r := range reps {
		switch kind := r.Play.Type; {
		case Dropbacks.has(kind):
			return Dropbacks
		case r.Play.IsPass() && !slices.Contains(types, kind):
			types = append(types, kind)
		}
	}
	if types == nil {
		return Dropbacks
	}
	slices.Sort(types)
	return types
}

// has reports whether a kind of play is in the scope.
func (in Scope) has(kind string) bool { return slices.Contains(in, kind) }

// Plays is the plays of the scope in words: dropbacks, or play-action and screen plays.
func (in Scope) Plays() string {
	if in.has("dropback") {
		return "dropbacks"
	}
	last := len(in) - 1
	if last == 0 {
		return in[0] + " plays"
	}
	return strings.Join(in[:last], ", ") + " and " + in[last] + " plays"
}

// Who counts in a figure differs with the figure. Each rule stands here once, beside the
// words that a table prints for it.

// reason is why a rep is out of the headline rates; the zero reason is that of one that is in.
type reason struct {
	kind reasonKind
	of   string // the penalty, unit, kind of play or job that it is for
}

type reasonKind uint8

const (
	counts reasonKind = iota
	penalty
	playTypeUnknown
	otherUnit
	otherPlay
	otherJob
	ballOut
)

// String is the reason in words.
func (why reason) String() string {
	switch why.kind {
	case penalty:
		return why.of
	case playTypeUnknown:
		return "play type not tagged"
	case otherUnit:
		return "of the unit " + tags.Spoken(why.of)
	case otherPlay:
		return "on " + why.of + " plays"
	case otherJob:
		return "with the job " + tags.Spoken(why.of)
	case ballOut:
		return "ball out"
	default:
		return ""
	}
}

// standsApart is why a rep is out of the headline rates.
func (in Scope) standsApart(r *tags.Rep) reason {
	switch {
	case r.Apart():
		return reason{penalty, r.Penalty}
	case r.Play.Type == "":
		return reason{kind: playTypeUnknown}
	case !r.Play.OurUnit():
		return reason{otherUnit, r.Play.Unit}
	case !in.has(r.Play.Type):
		return reason{otherPlay, r.Play.Type}
	case !r.Rushes():
		return reason{otherJob, r.Job}
	case ballWasOut(r): // last, because marks take longest to ask
		return reason{kind: ballOut}
	default:
		return reason{}
	}
}

// ballWasOut reports whether it is known that the ball was out before the rush got there.
func ballWasOut(r *tags.Rep) bool {
	out, _ := r.BallOut()
	return out
}

// counts reports whether the headline counts a rep.
func (in Scope) counts(r *tags.Rep) bool { return in.standsApart(r).kind == counts }

// contains reports whether the headline would count a rep but for its job of contain: he, too,
// comes at the passer.
func (in Scope) contains(r *tags.Rep) bool {
	return r.Job == "contain" && !r.Apart() && r.Play.OurUnit() && in.has(r.Play.Type) && !ballWasOut(r)
}

// rushersWords is who rushes the passer, in words.
func (in Scope) rushersWords() string {
	return "rushers on " + in.Plays() + " (job rush, penetrator or looper)"
}

// CountedWords says whom Counted leaves in.
func (in Scope) CountedWords() string {
	return in.rushersWords() + "; offside, and ball out, stand apart"
}

// Counted is the reps that the headline counts, each once.
func (in Scope) Counted(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, in.counts)
}

// RushesWords says whom Rushes leaves in.
func (in Scope) RushesWords() string {
	return in.rushersWords() + ", ball out with them; offside stands apart"
}

// Rushes is the reps that rushed the passer, each once, those on which the ball was out
// before a rush gets there among them: to leave them out of times would keep just the
// rushes that were given long, and out of tendencies, what he does against quick passers.
func (in Scope) Rushes(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		why := in.standsApart(r).kind
		return why == counts || why == ballOut
	})
}

// StuntsWords says whom StuntsOf leaves in.
func (in Scope) StuntsWords() string {
	return "reps of a stunt that the headline counts: " + in.CountedWords()
}

// SequencesWords says whom Sequence leaves in.
func (in Scope) SequencesWords() string {
	return "rushers on " + in.Plays() + ", as the headline has them, with blocker and move tagged. A move counts as shown on any play of these games, chosen or not"
}

// RunFitsWords says whom runFits leaves in.
const RunFitsWords = "reps with the job run-fit on runs; offside stands apart"

// runFits is the reps that defended a run, each once.
func runFits(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		return r.Play.IsRun() && r.Job == "run-fit" && !r.Apart()
	})
}

// ReadersWords says whom Readers leaves in.
const ReadersWords = "every rep on a dropback or a run, whatever its job; offside, and ball out, stand apart"

// Readers is the reps of which reads are asked, each once.
func Readers(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		return !r.Apart() && (Dropbacks.has(r.Play.Type) || r.Play.IsRun()) && !ballWasOut(r)
	})
}

// legalWords says whom legal leaves in.
const legalWords = "every rep on every kind of play; offside stands apart"

// legal is every rep but those offside, each once.
func legal(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool { return !r.Apart() })
}
