package plan

import (
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// judgement is what became of the reads that were there for a rep, by name.
type judgement struct {
	taken, others, missed []string
	reads                 []tags.Read // those of missed
}

// judged is the judgement of a rep.
func (b *builder) judged(r *tags.Rep) judgement {
	if known, ok := b.judgements[r]; ok {
		return known
	}
	if b.asks == nil {
		b.asks, b.judgements = query.NewRegistry(b.season.Vocabulary, b.season), map[*tags.Rep]judgement{}
	}
	var there []tags.Read
	for i, said := range b.asks.ReadsThere(r) {
		if said == query.Holds {
			there = append(there, b.season.Vocabulary.Reads[i])
		}
	}
	var j judgement
	j.taken, j.others, _ = r.Answered(there)
	j.missed, _ = r.Missed(j.others)
	for _, rd := range there {
		if slices.Contains(j.missed, rd.Name) {
			j.reads = append(j.reads, rd)
		}
	}
	b.judgements[r] = j
	return j
}

// mostReads is how many missed reads are told of one rep.
const mostReads = 2

// correction is what to do about a rep that was not won: the coach's point, else the note to
// the player where the reel is his own, else what was there and was not taken, else what to
// fix in the move; then how it is practised. What the coach has written the program does not
// speak over. It is empty where nothing of that is known.
func (b *builder) correction(r *tags.Rep) Label {
	l := Label{Top: true}
	j := b.judged(r)
	move, ok := b.practised(r, j.reads)
	note := r.Note
	if b.recipe.Whose != r.Rusher.ID {
		note = ""
	}
	var does []string
	switch {
	case r.Point != "":
		l.Lead = r.Point
	case note != "":
		l.Lead = note
	case len(j.reads) > 0:
		l.Lead = j.reads[0].Why
		for _, rd := range j.reads[1:min(len(j.reads), mostReads)] {
			does = append(does, rd.Why)
		}
	case r.Coached():
		return Label{}
	case ok && move.Fix != "":
		l.Lead = "Fix: " + move.Fix
	default:
		return Label{}
	}
	if ok && len(move.Drills) > 0 {
		does = append(does, "Drill, "+b.word("move", move.Name)+": "+move.Drills[0])
	}
	l.Lines = append(nonEmpty(b.rush(r)), nonEmpty(does...)...)
	return l
}

// practised is the move to practise: one that takes all the reads that were missed, else the
// last of the rush, with which it was not won.
func (b *builder) practised(r *tags.Rep, missed []tags.Read) (tags.Word, bool) {
	list := b.season.Vocabulary.List("move")
	if len(missed) > 0 {
		for _, w := range list.Words {
			if !slices.ContainsFunc(missed, func(rd tags.Read) bool { return !rd.CallsFor(w) }) {
				return w, true
			}
		}
		return tags.Word{}, false
	}
	if len(r.Moves) == 0 {
		return tags.Word{}, false
	}
	return list.Find(r.Moves[len(r.Moves)-1].Name)
}

// decided is the marks at one of which a rush is decided, the likeliest first.
var decided = []tags.Mark{tags.Turn, tags.Contact}

// amid is where a rush stops of which neither is marked: amid what is known of it.
var amid = []tags.Mark{tags.Release, tags.Finish}

// why is a picture of a rep that was not won: the film stopped where it was decided, with
// what to do about it.
type why struct {
	shot
	still
	label Label
}

// whys is the pictures of the reps of a take that were not won.
func (b *builder) whys(shots []shot) []why {
	var list []why
	if len(shots) == 0 {
		return nil
	}
	for _, r := range shots[0].reps {
		won, known := r.Won()
		if won || !known {
			continue
		}
		if label := b.correction(r); label.Lead != "" {
			s, st := b.stopped(shots, r)
			s.take = take{play: s.play, reps: []*tags.Rep{r}}
			list = append(list, why{s, st, label})
		}
	}
	return list
}

// why is the entry of such a picture.
func (b *builder) why(w why) Entry {
	says := append([]string{w.label.Lead}, w.label.Lines[min(1, len(w.label.Lines)):]...) // who it is the room has seen
	e := b.standing(w.shot, w.still, w.label, b.plan.House.Rate.Ceil(reading(strings.Join(says, " "))))
	e.Says = says
	e.Shows, e.Chapter = ShowsWhy, strings.TrimSpace(b.chapter(w.take, ""))+" why"
	return e
}

// stopsFor reports whether what is drawn for a rep at a mark on s is on its picture.
func (b *builder) stopsFor(s shot, rep *tags.Rep, mark tags.Mark) bool {
	return slices.ContainsFunc(b.stops, func(w why) bool { return w.rep == rep && w.mark == mark && w.view.Angle == s.view.Angle })
}

// stopped is on which shot and where the picture of a rep stops: on the first angle that shows
// what is drawn there, else on the first of all.
func (b *builder) stopped(shots []shot, r *tags.Rep) (shot, still) {
	marks := decided
	if b.part.Freeze.At != "" {
		marks = append([]tags.Mark{b.part.Freeze.At}, marks...)
	}
	for _, m := range marks {
		at, known := r.Since(m)
		if !known {
			continue
		}
		best := slices.IndexFunc(shots, func(s shot) bool { return s.view.Snaps && len(s.drawn(r, m)) > 0 })
		if best < 0 {
			best = slices.IndexFunc(shots, func(s shot) bool { return s.view.Snaps })
		}
		if best >= 0 {
			return shots[best], still{r, m, at, shots[best].drawn(r, m)}
		}
	}
	for _, m := range amid {
		at, known := r.Since(m)
		if best := slices.IndexFunc(shots, func(s shot) bool { return s.view.Snaps }); known && best >= 0 {
			return shots[best], still{rep: r, since: at / 2}
		}
	}
	s := shots[0] // the last picture: there is nothing to count from
	return s, still{rep: r, since: s.source.Clock().At(s.span.Out-1) - s.view.Snap}
}
