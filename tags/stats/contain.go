package stats

import "trenchcut/tags"

// Contain is how often men had contain and kept it.
type Contain struct {
	Name      string
	Had       int  // reps that had contain
	Kept      Rate // unknown where no more is tagged than that he had it
	LostInWin int
}

// ContainWords says whom Contains leaves in.
const ContainWords = "reps that had contain (had, kept or lost, or the job contain), on every kind of play; offside stands apart. Lost contain is a fault even in a win"

// Contains is the contain of all reps that [legal] leaves in and that had it, by kind of
// play, then by rusher.
func Contains(reps []*tags.Rep) []Contain {
	reps = filter(legal(reps), func(r *tags.Rep) bool { return r.Contain != "" || r.Job == "contain" })
	sets := append(withAll(reps, func(r *tags.Rep) []string {
		switch {
		case r.Play.IsRun():
			return []string{"on runs"}
		case r.Play.IsPass():
			return []string{"on passes"}
		case r.Play.Type != "":
			return []string{"on other plays"}
		default:
			return nil
		}
	}), Split(reps, Rusher)...)
	var list []Contain
	for _, s := range sets {
		c := Contain{Name: s.Name, Had: len(s.Reps)}
		for _, r := range s.Reps {
			c.Kept.addOf(r, r.Contain == "kept", r.Contain == "kept" || r.Contain == "lost")
			if won, _ := r.Won(); won && r.Contain == "lost" {
				c.LostInWin++
			}
		}
		list = append(list, c)
	}
	return list
}
