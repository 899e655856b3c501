package reel

import (
	"errors"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// stretch is what a segment shows of one film, and of the film below it.
type stretch struct {
	film, below     string // fingerprints
	span, spanBelow tags.Span
}

func stretchOf(s plan.Segment) stretch {
	st := stretch{film: s.Source.Fingerprint, span: s.Span}
	if s.Below != nil {
		st.below, st.spanBelow = s.Below.Source.Fingerprint, s.Below.Span
	}
	return st
}

// keepsGoing reports whether the recipe lets a reel be made without, or with, film that is damaged.
func (r Recipe) keepsGoing() bool {
	return r.Damaged == plan.LeaveOutDamaged || r.Damaged == plan.ShowDamaged
}

// amend leaves out the plays of the failed entries, or marks them to be shown as they decode, as
// the recipe says. It reports whether it did so for all of them: only then is the reel worth
// another try.
func (d *Draft) amend(entries []plan.Entry, failed *render.FailedError) bool {
	before := slices.Clone(d.leftOut)
	for i, n := range failed.Entries {
		var damaged *render.DamagedError
		e := entries[n]
		if slices.ContainsFunc(before, func(l leftOut) bool { return l.of(e) }) || !errors.As(failed.Errs[i], &damaged) || !d.amendOne(e, damaged, failed.Errs[i].Error()) {
			return false // a play that was left out may be there for another, as its model
		}
	}
	return len(failed.Entries) > 0
}

func (d *Draft) amendOne(e plan.Entry, damaged *render.DamagedError, said string) bool {
	switch {
	case d.Recipe.Damaged == plan.ShowDamaged && e.Damaged == "":
		if d.damaged == nil {
			d.damaged = map[stretch]string{}
		}
		d.damaged[stretchOf(e.Segment)] = damaged.Where()
	case d.Recipe.Damaged == plan.LeaveOutDamaged:
		if !d.without(e) {
			d.leftOut = append(d.leftOut, leftOut{e.Game, e.Play, said})
		}
		for j := range d.Parts {
			d.Parts[j].Choice = d.Parts[j].Without(e.Game, e.Play)
		}
	default:
		return false
	}
	return true
}

// leftOut is a play that is left out of a reel because its film is damaged.
type leftOut struct {
	game string
	play int
	why  string
}

// of reports whether e shows the play.
func (l leftOut) of(e plan.Entry) bool { return l.game == e.Game && l.play == e.Play }

// without reports whether an entry shows a play that is left out.
func (d *Draft) without(e plan.Entry) bool {
	return slices.ContainsFunc(d.leftOut, func(l leftOut) bool { return l.of(e) })
}

// mark marks the entries whose film is damaged and is shown all the same.
func (d *Draft) mark(entries []plan.Entry) {
	for i := range entries {
		e := &entries[i]
		if e.Segment.Kind != plan.Film {
			continue
		}
		if where, ok := d.damaged[stretchOf(e.Segment)]; ok {
			e.Segment.Damaged, e.Damaged = true, where
		}
	}
}
