package stats

import "trenchcut/tags"

// Who counts in a figure differs with the figure. Each rule stands here once, beside the
// words that a table prints for it.

// standsApart is why a rep is out of the headline rates; empty where it is in.
func standsApart(r *tags.Rep) string {
	switch {
	case r.Penalty == "offside":
		return "offside"
	case r.Play.Type == "":
		return "play type not tagged"
	case r.Play.Type != "dropback":
		return "on " + r.Play.Type + " plays"
	case !r.Rushes():
		return "with the job " + r.Job
	case ballOut(r):
		return "ball out"
	default:
		return ""
	}
}

// ballOut reports whether the ball is known to have been out before a rush gets there.
func ballOut(r *tags.Rep) bool {
	out, _ := r.BallOut()
	return out
}

// CountedWords says whom Counted leaves in.
const CountedWords = "rushers on dropbacks (job rush, penetrator or looper); offside, and plays with the ball out before a rush gets there, stand apart"

// Counted is the reps that the headline counts, each once.
func Counted(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool { return standsApart(r) == "" })
}

// RushesWords says whom Rushes leaves in.
const RushesWords = "rushers on dropbacks (job rush, penetrator or looper), plays with the ball out before a rush gets there with them; offside stands apart"

// Rushes is the reps that rushed the passer on a dropback, each once, those on which the
// ball was out before a rush gets there among them: to leave them out of times would keep just the rushes
// that were given long, and out of tendencies, what he does against quick passers.
func Rushes(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		why := standsApart(r)
		return why == "" || why == "ball out"
	})
}

// RunFitsWords says whom RunFits leaves in.
const RunFitsWords = "reps with the job run-fit on runs; offside stands apart"

// RunFits is the reps that defended a run, each once.
func RunFits(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		return r.Play.Type == "run" && r.Job == "run-fit" && r.Penalty != "offside"
	})
}

// StuntsWords says whom Stunts leaves in.
const StuntsWords = "reps of a stunt that the headline counts: " + CountedWords

// ReadersWords says whom Readers leaves in.
const ReadersWords = "every rep on a dropback or a run, whatever its job; offside, and plays with the ball out before a rush gets there, stand apart"

// Readers is the reps of which reads are asked, each once.
func Readers(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool {
		return (r.Play.Type == "dropback" || r.Play.Type == "run") && r.Penalty != "offside" && !ballOut(r)
	})
}

// LegalWords says whom Legal leaves in.
const LegalWords = "every rep on every kind of play; offside stands apart"

// Legal is every rep but those offside, each once.
func Legal(reps []*tags.Rep) []*tags.Rep {
	return filter(reps, func(r *tags.Rep) bool { return r.Penalty != "offside" })
}
