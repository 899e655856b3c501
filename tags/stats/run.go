package stats

import (
	"slices"

	"trenchcut/tags"
)

// Run is how some reps did against the run.
type Run struct {
	Name string
	Reps int
	Won  Rate // the battle, against his blocker
	// Penetration is getting past the blocker: a beat is marked, or a tackle for loss. Of a
	// win with neither it is not known.
	Penetration Rate
	Stop        Rate // stop or tackle for loss
	Edge        Rate // the edge set or kept, of the reps that had it; of nothing where no contain is tagged
	Outcomes    []Part
	How         []Part // how the reps that were not won were lost
}

// Runs is how all reps that [runFits] leaves in did, then each rusher; v ranks the words.
func Runs(reps []*tags.Rep, v *tags.Vocabulary) []Run {
	var list []Run
	fits := runFits(reps)
	// Where nobody tags contain, an edge that was set is all that tells of one: none is ever lost.
	edges := slices.ContainsFunc(fits, func(r *tags.Rep) bool { return r.Contain != "" })
	for _, s := range withAll(fits, Rusher) {
		run := Run{Name: s.Name, Reps: len(s.Reps), Penetration: Rate{Lopsided: true}}
		outcomes, how := map[string]int{}, map[string]int{}
		for _, r := range s.Reps {
			won, known := r.Won()
			run.Won.addWon(r)
			_, beaten := r.TimeToBeat()
			behind := r.Outcome == "tackle-for-loss"
			run.Penetration.addOf(r, beaten || behind, beaten || behind || known && !won)
			run.Stop.addOf(r, behind || r.Outcome == "stop", r.Outcome != "")
			if kept, had, known := edge(r); had && edges {
				run.Edge.addOf(r, kept, known)
			}
			if r.Outcome != "" {
				outcomes[r.Outcome]++
			} else {
				outcomes[NotTagged]++
			}
			if r.How != "" && !won {
				how[r.How]++
			}
		}
		run.Outcomes = parts(outcomes, v.List("outcome").Rank)
		run.How = parts(how, v.List("how").Rank)
		list = append(list, run)
	}
	return list
}

// edge is whether a rep that had the edge kept it; not known where no more is tagged than
// that he had it, or nothing at all.
func edge(r *tags.Rep) (kept, had, known bool) {
	kept = r.Contain == "kept" || r.Contain != "lost" && r.Outcome == "edge-set"
	known = kept || r.Contain == "lost"
	return kept, known || r.Contain == "had", known
}
