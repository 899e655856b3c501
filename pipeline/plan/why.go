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

// correction is what to do about a rep that was not won ([tags.Rep.Lesson]), then how it is
// practised; says is that without who it is, which the room has seen. It is empty where nothing of
// that is known.
func (b *builder) correction(r *tags.Rep) (l Label, says []string) {
	lesson, ok := r.Lesson(b.judged(r).reads, b.recipe.Whose == r.Rusher.Key())
	if !ok {
		return Label{}, nil
	}
	l.Lead = lesson.Says[0]
	if lesson.From == tags.FromMove {
		l.Lead = "Fix: " + l.Lead
	}
	does := lesson.Says[1:]
	if move := lesson.Move; len(move.Drills) > 0 {
		does = append(slices.Clone(does), "Drill, "+b.word("move", move.Name)+": "+move.Drills[0])
	}
	does = nonEmpty(does...)
	l.Lines = append(nonEmpty(b.rush(r)), does...)
	return l, append([]string{l.Lead}, does...)
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
	says  []string
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
		s, st := b.stopped(shots, r)
		var says []string
		label := b.label(s, []*tags.Rep{r}, func() (l Label) {
			l, says = b.correction(r)
			return l
		})
		if label.Lead != "" {
			label.Broad = true
			s.take = take{play: s.play, reps: []*tags.Rep{r}}
			list = append(list, why{s, st, label, says})
		}
	}
	return list
}

// why is the entry of such a picture.
func (b *builder) why(w why) Entry {
	e := b.standing(w.shot, w.still, w.label, b.plan.House.Rate.Ceil(reading(strings.Join(w.says, " "))))
	e.Says = w.says
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
