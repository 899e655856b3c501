package report

import (
	"fmt"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// mostShown and mostNext are how many moves text tells of, and how many that came next to
// each; the other forms tell of all.
const (
	mostShown = 8
	mostNext  = 6
)

// sequenceRow is what came after a move was shown once or twice running.
type sequenceRow struct {
	stats.Group
	shown string
	times int
}

var sequenceColumns = append(columns[sequenceRow]{
	{Column{Key: "shown", Doc: "The move that the blocker was shown last."}, func(r sequenceRow) any { return r.shown }},
	{Column{Key: "times", Kind: Number, Unit: "reps", Doc: "How many reps running it was shown at least."}, func(r sequenceRow) any { return r.times }},
	{Column{Key: "shown-next", Title: "shown > next", textOnly: true, Least: 14, Fold: true}, func(r sequenceRow) any {
		switch {
		case r.Name != stats.All:
			return "> " + r.Name
		case r.times > 1:
			return r.shown + " twice running"
		default:
			return r.shown
		}
	}},
}, lift(groupColumns.named("group", "next", "The first move of the rep that followed; all is every move."), func(r sequenceRow) stats.Group { return r.Group })...)

// named is the columns with another name for one of them.
func (cs columns[T]) named(key, name, doc string) columns[T] {
	out := slices.Clone(cs)
	for i := range out {
		if out[i].Key == key {
			out[i].Key, out[i].Doc = name, doc
		}
	}
	return out
}

func sequenceTable(r *Request) (Table, error) {
	s := r.scope().Sequence(r.Reps, r.Season.Reps())
	t := Table{
		Title: "what he began with after what he showed this blocker last, and what followed",
		Who:   r.scope().SequencesWords(),
		Lead: []string{
			fmt.Sprintf("%s came after another against the same blocker; the first against theirs: %d; no blocker or move tagged: %d.",
				tags.Count(s.Reps, "rep"), s.Firsts, s.Untagged),
			"Shown is the last move of the rep before, next the first move of the one that followed. It tells what followed, not what a move would bring; men differ, so name one (rusher=91) to compare like with like.",
		},
	}
	if by := chosenByMove(r.Query); by != nil {
		t.Lead = append(t.Lead, fmt.Sprintf("Reps are chosen by %s: what he began with says no more than that.", tags.Both(by)))
	}
	if s.Unseen > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("%s came after one with no move tagged: what the blocker saw last is not known.", tags.Count(s.Unseen, "rep")))
	}
	var all, told []sequenceRow
	moves, more := map[string]bool{}, false
	for _, after := range s.Followers {
		times := 1
		if after.Twice {
			times = 2
		}
		moves[after.Shown] = true
		for i, g := range append([]stats.Group{after.All}, after.Next...) {
			row := sequenceRow{g, after.Shown, times}
			all = append(all, row)
			switch {
			case len(moves) > mostShown || i > mostNext:
				more = true
			case i > 0 && after.Twice: // so few that only their sum says anything
			default:
				told = append(told, row)
			}
		}
	}
	if more {
		t.Notes = append(t.Notes, "The most frequent; the other forms (--csv, --json, --xlsx) hold all.")
	}
	picks := groupPicks("")
	picks[0] = pick{key: "shown-next"}
	t.Blocks = []Block{sequenceColumns.block(told, picks...)}
	t.Grids = []Grid{sequenceColumns.grid("", all)}
	return t, nil
}
