package stats

import "trenchcut/tags"

// Run is how some reps did against the run.
type Run struct {
	Name string `json:"name"`
	Reps int    `json:"reps"`
	Won  Rate   `json:"won"` // the battle, against his blocker
	// Penetration is getting past the blocker: a beat is marked, or a tackle for loss. Of a
	// win with neither it is not known.
	Penetration Rate   `json:"penetration"`
	Stop        Rate   `json:"stop"` // stop or tackle for loss
	Edge        Rate   `json:"edge"` // the edge set or kept, of the reps that owed it
	Outcomes    []Part `json:"outcomes"`
	How         []Part `json:"how"` // how the reps that were not won were lost
}

// Rates is the rates of a run table, in the order a page prints them.
func (r Run) Rates() []NamedRate {
	return []NamedRate{{"won", r.Won}, {"penetration", r.Penetration}, {"stop", r.Stop}, {"edge", r.Edge}}
}

// Runs is how all reps that [RunFits] leaves in did, then each rusher; v ranks the words.
func Runs(reps []*tags.Rep, v *tags.Vocabulary) []Run {
	var list []Run
	for _, s := range withAll(RunFits(reps), Rusher) {
		run := Run{Name: s.Name, Reps: len(s.Reps)}
		outcomes, how := map[string]int{}, map[string]int{}
		for _, r := range s.Reps {
			won, known := r.Won()
			run.Won.add(won, known)
			_, beaten := r.Since(tags.Beat)
			behind := r.Outcome == "tackle-for-loss"
			run.Penetration.add(beaten || behind, beaten || behind || known && !won)
			run.Stop.add(behind || r.Outcome == "stop", r.Outcome != "")
			if kept, owed, known := edge(r); owed {
				run.Edge.add(kept, known)
			}
			if r.Outcome != "" {
				outcomes[r.Outcome]++
			} else {
				outcomes[NotTagged]++
			}
			if r.How != "" {
				how[r.How]++
			}
		}
		run.Outcomes = parts(outcomes, v.List("outcome").Rank)
		run.How = parts(how, v.List("how").Rank)
		list = append(list, run)
	}
	return list
}

// edge is whether a rep that owed the edge kept it; not known where no more is tagged than
// that he owed it, or nothing at all.
func edge(r *tags.Rep) (kept, owed, known bool) {
	kept = r.Contain == "kept" || r.Contain != "lost" && r.Outcome == "edge-set"
	known = kept || r.Contain == "lost"
	return kept, known || r.Contain == "owed", known
}
