package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// Rate is how often something was so among the reps of which it is known.
type Rate struct {
	Count
	Unknown int // reps of which it is not known; in neither K nor N
}

func (r *Rate) add(yes, known bool) {
	if known {
		r.Count.add(yes)
	} else {
		r.Unknown++
	}
}

// Group is the rates of some reps.
type Group struct {
	Name       string `json:"name"`
	Reps       int    `json:"reps"`
	Won        Rate   `json:"won"` // the battle; a hold he drew counts as won
	Pressure   Rate   `json:"pressure"`
	Sack       Rate   `json:"sack"`
	BeatInTime Rate   `json:"beat-in-time"`
}

// Part is how many reps fall under one name.
type Part struct {
	Name string `json:"name"`
	Reps int    `json:"reps"`
}

// Summary is what a set of reps comes to. The headline counts who rushed the passer on a
// dropback; the rest stands apart, by the reason (common practice).
type Summary struct {
	Reps     int    `json:"reps"` // handed in, each counted once
	Plays    int    `json:"plays"`
	Headline Group  `json:"headline"`
	Apart    []Part `json:"apart"`
	DrewHold int    `json:"drew-hold"` // of the headline's wins
	// The headline's reps, by who or what he was up against and by what became of them.
	Matchups []Group `json:"matchups"`
	Outcomes []Part  `json:"outcomes"`
}

// NotTagged names the group of reps of which a fact is not known.
const NotTagged = "not tagged"

// Summarise is the summary of reps; v ranks the outcomes.
func Summarise(reps []*tags.Rep, v *tags.Vocabulary) Summary {
	reps = once(reps)
	s := Summary{Reps: len(reps)}
	plays := map[*tags.Play]bool{}
	apart, outcomes := map[string]int{}, map[string]int{}
	for _, r := range reps {
		plays[r.Play] = true
		if reason := standsApart(r); reason != "" {
			apart[reason]++
			continue
		}
		if r.Penalty == "drew-hold" {
			s.DrewHold++
		}
		outcomes[cmp.Or(r.Outcome, NotTagged)]++
	}
	s.Plays = len(plays)
	counted := Counted(reps)
	s.Headline = group("all", counted)
	s.Matchups = By(counted, func(r *tags.Rep) []string { return []string{r.Matchup()} })
	s.Apart = parts(apart, func(string) int { return 0 })
	s.Outcomes = parts(outcomes, v.List("outcome").Rank)
	return s
}

// Counted is the reps that the headline counts, each once.
func Counted(reps []*tags.Rep) []*tags.Rep {
	return slices.DeleteFunc(once(reps), func(r *tags.Rep) bool { return standsApart(r) != "" })
}

// standsApart is why a rep is out of the headline rates; empty where it is in.
func standsApart(r *tags.Rep) string {
	switch {
	case r.Penalty == "offside":
		return "offside"
	case r.Play.Type == "":
		return "play type not tagged"
	case r.Play.Type != "dropback":
		return "on " + r.Play.Type + " plays"
	case !r.Rushes():
		return "with the job " + r.Job
	case r.Outcome == "out-too-soon":
		return "ball out too soon"
	default:
		return ""
	}
}

// By is the rates of reps grouped by what of names for each; a rep of several names is in
// several groups, one of none under NotTagged. The largest group comes first.
func By(reps []*tags.Rep, of func(*tags.Rep) []string) []Group {
	groups := map[string][]*tags.Rep{}
	for _, r := range once(reps) {
		names := slices.DeleteFunc(slices.Clone(of(r)), func(name string) bool { return name == "" })
		if len(names) == 0 {
			names = []string{NotTagged}
		}
		slices.Sort(names)
		for _, name := range slices.Compact(names) {
			groups[name] = append(groups[name], r)
		}
	}
	list := make([]Group, 0, len(groups))
	for name, reps := range groups {
		list = append(list, group(name, reps))
	}
	slices.SortFunc(list, func(a, b Group) int {
		return cmp.Or(lastly(a.Name, b.Name), cmp.Compare(b.Reps, a.Reps), cmp.Compare(a.Name, b.Name))
	})
	return list
}

func group(name string, reps []*tags.Rep) Group {
	g := Group{Name: name, Reps: len(reps)}
	for _, r := range reps {
		g.Won.add(r.Won())
		g.Pressure.add(r.Pressure())
		g.Sack.add(r.Outcome == "sack" || r.Outcome == "strip-sack", r.Outcome != "")
		g.BeatInTime.add(r.BeatInTime())
	}
	return g
}

// parts is counts as a list: by rank, then the largest first, then by name.
func parts(counts map[string]int, rank func(string) int) []Part {
	list := make([]Part, 0, len(counts))
	for name, n := range counts {
		list = append(list, Part{name, n})
	}
	slices.SortFunc(list, func(a, b Part) int {
		return cmp.Or(lastly(a.Name, b.Name), cmp.Compare(rank(a.Name), rank(b.Name)),
			cmp.Compare(b.Reps, a.Reps), cmp.Compare(a.Name, b.Name))
	})
	return list
}

// lastly puts what is not tagged behind everything else.
func lastly(a, b string) int {
	switch {
	case a == b:
		return 0
	case a == NotTagged:
		return 1
	case b == NotTagged:
		return -1
	default:
		return 0
	}
}

// once is reps without repeats, in a slice of its own.
func once(reps []*tags.Rep) []*tags.Rep {
	seen := make(map[*tags.Rep]bool, len(reps))
	var list []*tags.Rep
	for _, r := range reps {
		if !seen[r] {
			seen[r] = true
			list = append(list, r)
		}
	}
	return list
}
