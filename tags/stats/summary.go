package stats

import (
	"cmp"
	"slices"

	"trenchcut/tags"
)

// Group is the rates of some reps.
type Group struct {
	Name        string
	Reps        int
	Won         Rate // the battle; a hold he drew counts as won
	Pressure    Rate
	PressureWon Rate // pressure that no credit says was given to him
	Sack        Rate
	BeatInTime  Rate
	// OverSooner is those not beaten in time whose rush was over within the limit.
	OverSooner int
	Sacks      float64 // parts of sacks: two men share one, half each
}

// Games is how many games the group's rates are of.
func (g Group) Games() int { return max(g.Won.Games(), g.Pressure.Games()) }

// Part is how many reps fall under one name.
type Part struct {
	Name string
	Reps int
}

// Summary is what a set of reps comes to. The headline counts who rushed the passer on a
// dropback; the rest stands apart, by the reason (common practice).
type Summary struct {
	Scope    Scope // whom the headline counts
	Reps     int   // handed in, each counted once
	Plays    int
	Headline Group
	// Pressure by the play: two rushers are two reps of one play, and one of them is enough to
	// hurry the passer. The man who has contain is one of them, and whoever else of the chosen
	// reps brought pressure counts for it, too.
	PlayPressure Rate
	PlaySack     Rate   // likewise
	Given        []Part // pressures that were given, by credit
	Apart        []Part
	DrewHold     int // of the headline's wins
	// The headline's reps, by who or what he was up against and by what became of them.
	Matchups []Group
	Outcomes []Part
}

// Summarise is the summary of reps; v ranks the outcomes.
func (in Scope) Summarise(reps []*tags.Rep, v *tags.Vocabulary) Summary {
	reps = once(reps)
	s := Summary{Scope: in, Reps: len(reps)}
	plays := map[*tags.Play]bool{}
	apart, outcomes, given := map[reason]int{}, map[string]int{}, map[string]int{}
	var counted, come []*tags.Rep // come at the passer
	for _, r := range reps {
		plays[r.Play] = true
		why := in.standsApart(r)
		if why.kind == counts || in.contains(r) {
			come = append(come, r)
		}
		if why.kind != counts {
			apart[why]++
			continue
		}
		counted = append(counted, r)
		if r.DrewHold() {
			s.DrewHold++
		}
		if is, _ := r.PressureGiven(); is {
			given[r.Credit]++
		}
		outcomes[cmp.Or(r.Outcome, NotTagged)]++
	}
	s.Plays = len(plays)
	s.Headline = group(All, counted)
	s.PlayPressure = perPlay(come, reps, (*tags.Rep).Pressure)
	s.PlaySack = perPlay(come, reps, (*tags.Rep).Sack)
	s.Given = parts(given, v.List("credit").Rank)
	said := map[string]int{}
	for why, n := range apart {
		said[why.String()] += n
	}
	s.Matchups = By(counted, func(r *tags.Rep) []string { return []string{r.Matchup()} })
	s.Apart = parts(said, func(string) int { return 0 })
	s.Outcomes = parts(outcomes, v.List("outcome").Rank)
	return s
}

// By is the rates of reps, by what of names for each, as [Split] has it.
func By(reps []*tags.Rep, of func(*tags.Rep) []string) []Group {
	sets := Split(reps, of)
	list := make([]Group, len(sets))
	for i, s := range sets {
		list[i] = group(s.Name, s.Reps)
	}
	return list
}

func group(name string, reps []*tags.Rep) Group {
	g := Group{Name: name, Reps: len(reps), BeatInTime: Rate{Lopsided: true}}
	for _, r := range reps {
		g.Won.addWon(r)
		yes, known := r.Pressure()
		g.Pressure.addOf(r, yes, known)
		won, told := r.PressureWon()
		g.PressureWon.addOf(r, won, told)
		// Whose it was is open of pressure alone: without any he won none.
		g.PressureWon.Lopsided = g.PressureWon.Lopsided || yes && !told
		yes, known = r.Sack()
		g.Sack.addOf(r, yes, known)
		g.Sacks += r.SackShare()
		yes, known = r.BeatInTime()
		g.BeatInTime.addOf(r, yes, known)
		if sooner, _ := r.OverSooner(); sooner {
			g.OverSooner++
		}
	}
	return g
}

// rateOf is how often something was so among reps.
func rateOf(reps []*tags.Rep, of func(*tags.Rep) (yes, known bool)) Rate {
	var rate Rate
	for _, r := range reps {
		yes, known := of(r)
		rate.addOf(r, yes, known)
	}
	return rate
}

// wonOf is how often battles were won among reps.
func wonOf(reps []*tags.Rep) Rate {
	var rate Rate
	for _, r := range reps {
		rate.addWon(r)
	}
	return rate
}

// perPlay is on how many plays of those who rushed something was so, of a rush or of any of
// the rest but who was offside. It is not known of a play of which none says yes and a rush
// says nothing. One yes tells of the whole play, and a no of one rush alone, so where a play has
// rushes that say something and others that do not, the plays not known are not like the others.
func perPlay(rushes, rest []*tags.Rep, of func(*tags.Rep) (yes, known bool)) Rate {
	const (
		no = iota + 1
		unknown
		yes
	)
	var rate Rate
	said, silent := map[*tags.Play]int{}, map[*tags.Play]bool{}
	var plays []*tags.Play
	for _, r := range rushes {
		if said[r.Play] == 0 {
			plays = append(plays, r.Play)
		}
		is, known := of(r)
		if was, met := silent[r.Play]; met && was == known { // this rush says something and one before did not, or the reverse
			rate.Lopsided = true
		}
		silent[r.Play] = silent[r.Play] || !known
		switch {
		case known && is:
			said[r.Play] = yes
		case !known:
			said[r.Play] = max(said[r.Play], unknown)
		default:
			said[r.Play] = max(said[r.Play], no)
		}
	}
	for _, r := range rest {
		if is, _ := of(r); is && said[r.Play] != 0 && !r.Apart() {
			said[r.Play] = yes
			rate.Lopsided = rate.Lopsided || silent[r.Play]
		}
	}
	for _, p := range plays {
		rate.addOf(&tags.Rep{Play: p}, said[p] == yes, said[p] != unknown)
	}
	return rate
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
