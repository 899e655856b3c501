package tags

import "slices"

// Path is the path of the rep's last move: outside, through or inside; empty where no
// move is tagged.
func (r *Rep) Path() string {
	if len(r.Moves) == 0 {
		return ""
	}
	return r.Moves[len(r.Moves)-1].Path
}

// Family is the family of the rep's last move.
func (r *Rep) Family() string { return r.family(len(r.Moves) - 1) }

// FirstFamily is the family of the rep's first move.
func (r *Rep) FirstFamily() string { return r.family(0) }

// family is that of one move; empty where no move is tagged.
func (r *Rep) family(move int) string {
	if len(r.Moves) == 0 {
		return ""
	}
	w, _ := r.Play.Game.vocabulary.List("move").Find(r.Moves[move].Name)
	return w.Family
}

// IsCounter reports whether the path changed from outside or through to inside, or
// back; false for known where no move is tagged. The staff's own word overrules.
func (r *Rep) IsCounter() (counter, known bool) {
	if r.Counter != "" {
		return r.Counter == "yes", true
	}
	for i := 1; i < len(r.Moves); i++ {
		if (r.Moves[i-1].Path == "inside") != (r.Moves[i].Path == "inside") {
			return true, true
		}
	}
	return false, len(r.Moves) > 0
}

// IsInsideCounter reports whether the rep is a counter that ends inside; false for known
// where no move is tagged, since then no path is.
func (r *Rep) IsInsideCounter() (inside, known bool) {
	counter, _ := r.IsCounter()
	return counter && r.Path() == "inside", len(r.Moves) > 0
}

// IsCombination reports whether the rep is a rush with its finish: two moves or more on
// one way; false for known where no move is tagged.
func (r *Rep) IsCombination() (combination, known bool) {
	counter, known := r.IsCounter()
	return known && !counter && len(r.Moves) > 1, known
}

// Rushes reports whether the rep's job is to rush the passer.
func (r *Rep) Rushes() bool {
	return slices.Contains([]string{"rush", "penetrator", "looper"}, r.Job)
}

// Won reports whether the rusher beat his blocker; a hold he drew counts as won. Unknown
// where neither is tagged.
func (r *Rep) Won() (won, known bool) {
	held := r.Penalty == "drew-hold"
	return r.Battle == "won" || held, r.Battle != "" || held
}

// doubled reports whether the run block he met is one of two blockers.
func (r *Rep) doubled() bool { return r.Block == "double" }

// Matchup is who or what the rep was up against: unblocked, stunt, helped or one-on-one;
// empty where the tags do not say. A stunt that is not tagged was not called. Help that is
// not tagged is unknown, unless a run block of one man is tagged.
func (r *Rep) Matchup() string {
	blocked := r.Blocker != nil || r.Set != "" || r.Block != "" || r.Unblocked == "no"
	switch {
	case r.Unblocked == "yes":
		return "unblocked"
	case r.Stunt != "":
		return "stunt"
	case r.doubled(), r.Help != "" && r.Help != "none":
		return "helped"
	case blocked && (r.Help == "none" || r.Block != ""):
		return "one-on-one"
	default:
		return ""
	}
}

// OneOnOne reports whether exactly one blocker stood against the rep, with no help and
// no stunt called; false for known where the tags do not say.
func (r *Rep) OneOnOne() (alone, known bool) {
	matchup := r.Matchup()
	return matchup == "one-on-one", matchup != ""
}

// TimeToBeat is how long after the snap the blocker was beaten; false where no beat is
// marked.
func (r *Rep) TimeToBeat() (Time, bool) { return r.Since(Beat) }

// BeatInTime reports whether the blocker was beaten within the staff's limit. A rep
// that was not won has not been beaten in time; a win with no beat marked is unknown.
func (r *Rep) BeatInTime() (inTime, known bool) {
	if t, ok := r.TimeToBeat(); ok {
		return t <= r.Play.Game.vocabulary.Limit, true
	}
	return false, r.Battle == "lost" || r.Battle == "even"
}

// Pressure reports whether the rep ended in pressure on the passer, as the vocabulary says
// of its outcome; unknown where no outcome is tagged.
func (r *Rep) Pressure() (pressure, known bool) {
	w := r.outcome()
	return w != nil && (w.Pressure == "yes" || w.Sack == "yes"), r.Outcome != ""
}

// Sack reports whether the rep ended in a sack, as the vocabulary says of its outcome;
// unknown where no outcome is tagged.
func (r *Rep) Sack() (sack, known bool) {
	w := r.outcome()
	return w != nil && w.Sack == "yes", r.Outcome != ""
}

// outcome is the vocabulary's word for the rep's outcome, or nil.
func (r *Rep) outcome() *Word { return r.Play.Game.vocabulary.List("outcome").find(r.Outcome) }

// DownClass is the play's down as a room speaks of it: first-down, second-long,
// third-short and so on. Long is seven or more, short two or less (common practice).
func (p *Play) DownClass() string {
	if p.Down == nil {
		return ""
	}
	ordinal := []string{"first", "second", "third", "fourth"}[*p.Down-1]
	switch {
	case *p.Down == 1 || p.Distance == nil:
		return ordinal + "-down"
	case *p.Distance >= 7:
		return ordinal + "-long"
	case *p.Distance <= 2:
		return ordinal + "-short"
	default:
		return ordinal + "-medium"
	}
}
