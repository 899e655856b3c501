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

// FirstMove is the name of the move the rush began with; empty where no move is tagged.
func (r *Rep) FirstMove() string {
	if len(r.Moves) == 0 {
		return ""
	}
	return r.Moves[0].Name
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

// counterFamily is the family of the moves that are a counter by themselves (common
// practice).
const counterFamily = "change"

// IsCounter reports whether the path changed from outside or through to inside, or back,
// or the rush was one move of a counter family that ends inside; false for known where no
// move is tagged. The staff's own word on the rep overrules, and on the move where it is
// the only one.
func (r *Rep) IsCounter() (counter, known bool) {
	if r.Counter != "" {
		return r.Counter == "yes", true
	}
	for i := 1; i < len(r.Moves); i++ {
		if (r.Moves[i-1].Path == "inside") != (r.Moves[i].Path == "inside") {
			return true, true
		}
	}
	if len(r.Moves) != 1 {
		return false, len(r.Moves) > 0
	}
	w, _ := r.Play.Game.vocabulary.List("move").Find(r.Moves[0].Name)
	own := w.Counter == "yes" || w.Counter == "" && w.Family == counterFamily
	return own && r.Path() == "inside", true
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

// OurUnit reports whether the play may be of the unit whose rushes are counted, the
// defense: it is, or the tags do not say.
func (p *Play) OurUnit() bool { return p.Unit == "" || p.Unit == ourUnit }

// IsPass reports whether the vocabulary calls the play's type a pass.
func (p *Play) IsPass() bool { return p.is(func(w *Word) string { return w.Pass }) }

// IsRun reports whether the vocabulary calls the play's type a run.
func (p *Play) IsRun() bool { return p.is(func(w *Word) string { return w.Run }) }

func (p *Play) is(of func(*Word) string) bool { return p.Game.vocabulary.says("type", p.Type, of) }

// UsualJob is the job of a rep of the play that says none.
func (p *Play) UsualJob() string {
	if p.IsRun() {
		return "run-fit"
	}
	return "rush"
}

// Rushes reports whether the rep's job is to rush the passer.
func (r *Rep) Rushes() bool {
	return slices.Contains([]string{"rush", "penetrator", "looper"}, r.Job)
}

// Won reports whether the rusher beat his blocker; a hold he drew counts as won. Unknown
// where neither is tagged.
func (r *Rep) Won() (won, known bool) {
	held := r.DrewHold()
	return r.Battle == "won" || held, r.Battle != "" || held
}

// DrewHold reports whether his blocker had to hold him and was called for it.
func (r *Rep) DrewHold() bool { return r.Penalty == "drew-hold" }

// doubled reports whether the run block he met is one of two blockers, as the vocabulary
// says of its word.
func (r *Rep) doubled() bool {
	return r.Play.Game.vocabulary.says("block", r.Block, func(w *Word) string { return w.TwoMen })
}

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

// Apart reports whether the rep's penalty, such as offside, takes it out of the numbers.
func (r *Rep) Apart() bool {
	return r.Penalty != "" && r.Play.Game.vocabulary.says("penalty", r.Penalty, func(w *Word) string { return w.Apart })
}

// OneOnOne reports whether exactly one blocker stood against the rep, with no help and
// no stunt called; false for known where the tags do not say.
func (r *Rep) OneOnOne() (alone, known bool) {
	matchup := r.Matchup()
	return matchup == "one-on-one", matchup != ""
}

// TimeToBeat is how long after the snap the blocker was beaten; false where no beat is
// marked. One that is marked of the play is none of a rep that was not won: it is another's. Nor is
// it known to be his where the play has other reps and it is not tagged who won.
func (r *Rep) TimeToBeat() (Time, bool) {
	if _, own := r.Marks.At(Beat); !own {
		if won, known := r.Won(); known && !won || !known && len(r.Play.Reps) > 1 {
			return 0, false
		}
	}
	return r.Since(Beat)
}

// TimeTo is how long after the snap a mark of the rep comes, as [Rep.Since] has it, but of the beat as
// [Rep.TimeToBeat] does.
func (r *Rep) TimeTo(m Mark) (Time, bool) {
	if m == Beat {
		return r.TimeToBeat()
	}
	return r.Since(m)
}

// Over is how long after the snap the rush was over: the ball was out, or it finished. False
// where neither is marked.
func (r *Rep) Over() (Time, bool) {
	over, marked := r.Since(Release)
	if finish, ok := r.Since(Finish); ok && (!marked || finish < over) {
		return finish, true
	}
	return over, marked
}

// Beaten reports whether the blocker was beaten before the rush was over, and when. A beat
// marked later came too late to be one. Where none is marked, a rep that was not won has none,
// and of any other it is unknown.
func (r *Rep) Beaten() (at Time, beaten, known bool) {
	if at, marked := r.TimeToBeat(); marked {
		over, ended := r.Over()
		if ended && at > over {
			return 0, false, true
		}
		return at, true, true
	}
	won, known := r.Won()
	return 0, false, known && !won
}

// BeatInTime reports whether the blocker was beaten within the staff's limit, before the rush
// was over; unknown where [Rep.Beaten] is.
func (r *Rep) BeatInTime() (inTime, known bool) {
	at, beaten, known := r.Beaten()
	return beaten && at <= r.Play.Game.vocabulary.Limit, known
}

// OverSooner reports whether the rush was over within the staff's limit, the blocker not
// beaten by then; unknown where no end is marked.
func (r *Rep) OverSooner() (sooner, known bool) {
	_, beaten, known := r.Beaten()
	over, ended := r.Over()
	return known && !beaten && ended && over < r.Play.Game.vocabulary.Limit, known && (beaten || ended)
}

// Pressure reports whether the rep ended in pressure on the passer, as the vocabulary says
// of its outcome and of what he did; unknown where neither is tagged or says so.
func (r *Rep) Pressure() (pressure, known bool) {
	return r.result((*Word).pressure)
}

// Sack reports whether the rep ended in a sack, or in a part of one, as the vocabulary says
// of its outcome and of what he did; unknown where neither is tagged or says so.
func (r *Rep) Sack() (sack, known bool) {
	return r.result(func(w *Word) string {
		if w.Sack == "" && w.Pressure == "no" {
			return "no" // a sack is pressure
		}
		return w.Sack
	})
}

// result is what the words of the rep's outcome and of what he did say: yes where one
// does, else no where an outcome is tagged or one of the others says no.
func (r *Rep) result(of func(*Word) string) (yes, known bool) {
	v := r.Play.Game.vocabulary
	known = r.Outcome != ""
	if v.says("outcome", r.Outcome, of) {
		return true, true
	}
	for _, did := range r.Did {
		if w := v.List("did").find(did); w != nil {
			switch of(w) {
			case "yes":
				return true, true
			case "no":
				known = true
			}
		}
	}
	return false, known
}

// PressureGiven reports whether pressure fell to the rep by the work of others, as the
// vocabulary says of its credit. It is no where there was no pressure; where no credit is
// tagged, a battle that was won says that he earned it, and any other is unknown.
func (r *Rep) PressureGiven() (given, known bool) {
	switch pressure, known := r.Pressure(); {
	case !known:
		return false, false
	case !pressure:
		return false, true
	}
	if r.Credit != "" {
		return r.Play.Game.vocabulary.says("credit", r.Credit, func(w *Word) string { return w.Given }), true
	}
	won, _ := r.Won()
	return false, won
}

// PressureWon reports whether the rep ended in pressure that he won himself.
func (r *Rep) PressureWon() (won, known bool) {
	given, known := r.PressureGiven()
	pressure, _ := r.Pressure()
	return pressure && !given && known, known
}

// halfSack is the word of what he did that makes a sack half his.
const halfSack = "half-sack"

// SackShare is the part of a sack that is the rep's, 0 where his did not end in one. Half a
// sack is half, and the others of the play that ended in it share what is left alike. The
// shares of one play never come to more than its one sack: where the tags give out more, all
// of them share it alike.
func (r *Rep) SackShare() float64 {
	if sack, _ := r.Sack(); !sack {
		return 0
	}
	halves, others := 0, 0
	for _, other := range r.Play.Reps {
		switch sack, _ := other.Sack(); {
		case !sack:
		case slices.Contains(other.Did, halfSack):
			halves++
		default:
			others++
		}
	}
	switch {
	case halves > 2 || halves == 2 && others > 0:
		return 1 / float64(halves+others)
	case slices.Contains(r.Did, halfSack):
		return 0.5
	default:
		return (1 - float64(halves)/2) / float64(others)
	}
}

// BallOut reports whether the ball was out before a rush gets there: as the play says, else
// by the time of release against the staff's limit; unknown where neither is tagged.
func (p *Play) BallOut() (out, known bool) { return p.ballOut(p.Since) }

// BallOut is [Play.BallOut], by the release marked of the rep where there is one.
func (r *Rep) BallOut() (out, known bool) { return r.Play.ballOut(r.Since) }

func (p *Play) ballOut(since func(Mark) (Time, bool)) (out, known bool) {
	if p.BallGone != "" {
		return p.BallGone == "yes", true
	}
	t, known := since(Release)
	return known && t < p.Game.vocabulary.BallOut, known
}

// Outside is how many feet to the right of the ball a rusher lines up, as the defense sees it:
// as common practice spaces a line.
func (r *Rep) Outside() (feet float64, ok bool) {
	feet, ok = map[string]float64{
		"0": 0, "1": 1.2, "2i": 2.5, "2": 3.5, "3": 5, "4i": 6, "4": 7, "5": 8.5, "wide-5": 9.5, "7": 11, "6": 12, "9": 13.5, "wide-9": 16,
	}[r.Align]
	switch {
	case !ok:
		return 0, false
	case r.Side == "right":
		return feet, true
	case r.Side == "left":
		return -feet, true
	default:
		return 0, feet == 0
	}
}
