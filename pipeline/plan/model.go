package plan

import (
	"cmp"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// modelsFor returns the models that a rep may have, the best first. A model that the staff chose is
// the only one. Otherwise they are wins like the rep, first those that took every read that was
// there; where the coach has said nothing of the rep, only those. For a rep that missed a read, a
// model must have taken one that it missed.
func (b *builder) modelsFor(rep *tags.Rep) []stats.Model {
	gone := func(r *tags.Rep) bool { return b.part.without != nil && b.part.without(r.Play) }
	if rep.Model != "" {
		for _, r := range b.reps() {
			if r.Name() == rep.Model && !gone(r) {
				_, in := stats.Alike(rep, r)
				return []stats.Model{{Rep: r, Why: append([]string{"chosen by the staff"}, in...)}}
			}
		}
		b.leaveOut("the model of "+rep.Name(), rep.Model+" is not among the games, or is left out")
		return nil
	}
	var takes func(*tags.Rep) bool
	if missed := b.judged(rep).missed; len(missed) > 0 {
		takes = func(r *tags.Rep) bool {
			return slices.ContainsFunc(b.judged(r).taken, func(name string) bool { return slices.Contains(missed, name) })
		}
	}
	models := slices.DeleteFunc(stats.Models(rep, b.reps(), takes), func(m stats.Model) bool { return gone(m.Rep) })
	others := func(m stats.Model) int { return min(len(b.judged(m.Rep).others), 1) }
	if !rep.Coached() {
		models = slices.DeleteFunc(models, func(m stats.Model) bool { return others(m) > 0 })
	}
	slices.SortStableFunc(models, func(x, y stats.Model) int { return cmp.Compare(others(x), others(y)) })
	if len(models) == 0 {
		b.leaveOut("the model of "+rep.Name(), "no win is enough like it")
	}
	return models
}

// wantsModel reports whether a rep is shown with a model beside it.
func wantsModel(r *tags.Rep) bool {
	won, known := r.Won()
	return known && !won
}

// models plans the models of takes, in the order in which these are shown. A model is never of a
// play that was just shown, and is shown twice only where there is no other, which is said. It
// leaves out takes that would make too many losses follow one another, because no model can stand
// between them.
func (b *builder) models(takes []take) []take {
	var shown []take
	row := 0
	for i, t := range takes {
		var models []Entry
		for _, rep := range t.reps {
			if wantsModel(rep) {
				models = append(models, b.modelOf(rep, t.play)...)
			}
		}
		if t.lost() {
			row++
		} else {
			row = 0
		}
		if b.part.InARow > 0 && row > b.part.InARow {
			b.leaveOut(t.play.Name(), "it would be more in a row that were not won than the recipe allows")
			row--
			continue
		}
		if len(models) > 0 {
			row = 0
		} else {
			b.just = nil
		}
		t.entries = append(t.entries, models...)
		b.just = append(b.just, takes[i].play)
		shown = append(shown, t)
	}
	return shown
}

// modelOf returns the entries of the best model that a rep of a play may have now, and says so
// where all of its models were just shown.
func (b *builder) modelOf(rep *tags.Rep, play *tags.Play) []Entry {
	all := b.modelsFor(rep)
	models := slices.DeleteFunc(slices.Clone(all), func(m stats.Model) bool {
		return m.Rep.Play == play || slices.Contains(b.just, m.Rep.Play)
	})
	switch {
	case len(models) > 0 || len(all) == 0:
	case rep.Model != "":
		b.leaveOut("the model of "+rep.Name(), rep.Model+" is of a play that was just shown")
	default:
		b.leaveOut("the model of "+rep.Name(), "each win like it is of a play that was just shown")
	}
	at := slices.IndexFunc(models, func(m stats.Model) bool { return !b.modelled[m.Rep] })
	again := at < 0
	if again {
		at = 0
	}
	for _, m := range models[min(at, len(models)):] {
		why := m.Why
		if again {
			why = append(slices.Clone(why), "shown before in this reel")
		}
		if entries := b.model(m.Rep, rep, why); len(entries) > 0 {
			b.modelled[m.Rep] = true
			b.just = []*tags.Play{m.Rep.Play}
			return entries
		}
	}
	return nil
}

// model is rep as the model of another. It may be another man's, who is not named then, so
// it carries what the film shows and no point, note or grade.
func (b *builder) model(rep, of *tags.Rep, why []string) []Entry {
	part, naming := b.part, b.naming
	defer func() { b.part, b.naming = part, naming }()
	b.naming.For, b.naming.Home = of.Rusher.Key(), of.Play.Game
	b.part.Replay, b.part.Freeze, b.part.Why = Replay{}, Freeze{}, false
	t := take{play: rep.Play, reps: []*tags.Rep{rep}}
	var entries []Entry
	for _, e := range b.onAngles(t) {
		e.Chapter += " model"
		if e.Shows == ShowsOutcome {
			entries = append(entries, e)
			continue
		}
		e.Shows = ShowsModel
		for i, l := range e.Segment.Layers {
			if l.Label != nil { // the first says why it is here
				b.tab = l.Label.Tab
				e.Segment.Layers[i].Label = &Label{Tab: b.tab, Lead: LikeThis, Lines: nonEmpty(b.rush(rep), strings.Join(why, separator)), Top: l.Label.Top, Room: l.Label.Room}
				b.tab = ""
				break
			}
		}
		entries = append(entries, e)
	}
	return entries
}

// LikeThis is what a model is shown under.
const LikeThis = "Do it like this"

// reps is every rep of the season, listed once.
func (b *builder) reps() []*tags.Rep {
	if b.all == nil {
		b.all = b.season.Reps()
	}
	return b.all
}
