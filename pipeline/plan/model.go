package plan

import (
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// models is, for each rep of a take that was not won, the win most like it, on the take's
// angles. A rep that none is enough like is said to have none.
func (b *builder) models(t take) []Entry {
	var entries []Entry
	for _, rep := range t.reps {
		if won, known := rep.Won(); won || !known {
			continue
		}
		model, why := b.modelOf(rep)
		if model == nil && rep.Model != "" {
			continue // and that is said
		}
		if model == nil {
			b.leaveOut("the model of "+rep.Name(), "no win is enough like it")
			continue
		}
		entries = append(entries, b.model(model, rep, why)...)
	}
	return entries
}

// modelOf is the model that the staff chose for a rep, else the win most like it, with the
// reasons.
func (b *builder) modelOf(rep *tags.Rep) (*tags.Rep, []string) {
	if rep.Model == "" {
		return stats.Model(rep, b.reps())
	}
	for _, r := range b.reps() {
		if r.Name() == rep.Model {
			_, in := stats.Alike(rep, r)
			return r, append([]string{"chosen by the staff"}, in...)
		}
	}
	b.leaveOut("the model of "+rep.Name(), rep.Model+" is not among the games")
	return nil, nil
}

// model is rep as the model of another. It may be a teammate's, who is not named then, so
// it carries what the film shows and no point, note or grade.
func (b *builder) model(rep, of *tags.Rep, why []string) []Entry {
	part, naming := b.part, b.naming
	defer func() { b.part, b.naming = part, naming }()
	b.naming.For = of.Rusher.ID
	b.part.Replay, b.part.Freeze = Replay{}, Freeze{}
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
				e.Segment.Layers[i].Label = &Label{Lead: "How it is won", Lines: nonEmpty(b.rush(rep), strings.Join(why, separator)), Room: l.Label.Room}
				break
			}
		}
		entries = append(entries, e)
	}
	return entries
}

// reps is every rep of the season, listed once.
func (b *builder) reps() []*tags.Rep {
	if b.all == nil {
		b.all = b.season.Reps()
	}
	return b.all
}
