package stats

import (
	"fmt"
	"strings"

	"trenchcut/tags"
)

// Versus is two groups of reps side by side.
type Versus struct {
	First  Group
	Second Group
	Rates  []Contrast
	Time   Duel
	// GetOff is how soon each side moves after the snap, by the reps that legal leaves in; its
	// Gap is against the other side. Frames of film are not looked at.
	GetOff [2]GetOff
	Both   int // reps that are in both groups, and blur what tells them apart
}

// Contrast is one rate of both groups. Difference is nil where either has too few reps
// for a rate.
type Contrast struct {
	Name          string
	First, Second Rate
	Difference    *Difference
}

// Duel is when blockers were beaten by each group, and how long they would have held.
type Duel struct {
	First      Timing
	Second     Timing
	FirstHold  Hold
	SecondHold Hold
	// Test compares how soon blockers are beaten, of rushes still going.
	//
	// Test is nil where either group has too few watches, or neither beat anybody.
	Test *LogRanks
}

// Half is one of two choices, with whom its numbers count.
type Half struct {
	Set
	Scope
}

// Against compares two choices: their rates by the reps that Counted leaves in, their times
// by those that Rushes does.
func Against(one, other Half) Versus {
	rushesA, rushesB := one.Rushes(one.Reps), other.Rushes(other.Reps)
	a, b := one.Counted(one.Reps), other.Counted(other.Reps)
	v := Versus{First: group(one.Name, a), Second: group(other.Name, b)}
	first := map[*tags.Rep]bool{}
	for _, r := range a {
		first[r] = true
	}
	for _, r := range b {
		if first[r] {
			v.Both++
		}
	}
	v.GetOff = getOffsAgainst(one, other)
	given := !v.First.PressureWon.Equal(v.First.Pressure) || !v.Second.PressureWon.Equal(v.Second.Pressure)
	for _, rate := range v.First.Rates() {
		if given || rate.Name != PressureHeWon { // else it would be the same comparison again
			v.Rates = append(v.Rates, contrast(rate.Name, rate.Rate, v.Second.Named(rate.Name)))
		}
	}
	v.Time = Duel{
		First: timing(Set{one.Name, a}), Second: timing(Set{other.Name, b}),
		FirstHold: hold(Set{one.Name, rushesA}), SecondHold: hold(Set{other.Name, rushesB}),
	}
	if v.Time.FirstHold.Curve.Enough() && v.Time.SecondHold.Curve.Enough() {
		watchesA, _ := Watches(rushesA)
		watchesB, _ := Watches(rushesB)
		if test := CompareGroups([]Ranked{{one.Name, watchesA}, {other.Name, watchesB}}); test.Degrees > 0 {
			v.Time.Test = &test
		}
	}
	return v
}

// contrast is two counts of one rate, compared where both have reps enough and more than
// bounds of both can be told.
func contrast(name string, a, b Rate) Contrast {
	c := Contrast{Name: name, First: a, Second: b}
	if a.Enough() && b.Enough() && !a.Bounded() && !b.Bounded() {
		d := compareRates(a, b)
		c.Difference = &d
	}
	return c
}

// Comparisons is how many comparisons were made.
func (v Versus) Comparisons() int {
	n := 0
	if v.GetOff[0].Gap != nil {
		n++
	}
	for _, c := range v.Rates {
		if c.Difference != nil {
			n++
		}
	}
	if v.Time.Test != nil {
		n++
	}
	return n
}

// Sentence is a contrast as a coach can repeat it, with what the first group did: "6 of 8
// against 9 of 21: path inside won more often here; with these counts anything from 8
// fewer to 58 more per 100 rushes fits this film."
func (c Contrast) Sentence(first string) string {
	counts := c.First.Words() + " against " + c.Second.Words()
	switch {
	case c.First.Bounded() || c.Second.Bounded():
		return counts + ": of some it is not known, so the two cannot be compared."
	case c.Difference == nil:
		return counts + ": too few to compare."
	}
	first100, _, _ := c.First.Per100()
	second100, _, _ := c.Second.Per100()
	counts = fmt.Sprintf("%d of %d, %d %%, against %d of %d, %d %%", c.First.K, c.First.N, first100, c.Second.K, c.Second.N, second100)
	d := *c.Difference
	more := "as often here"
	switch {
	case d.D > 0:
		more = "more often here"
	case d.D < 0:
		more = "less often here"
	}
	_, low, high := d.Per100()
	var fits string
	switch {
	case low > 0:
		fits = fmt.Sprintf("%d to %d more", low, high)
	case high < 0:
		fits = fmt.Sprintf("%d to %d fewer", -high, -low)
	default:
		fits = fmt.Sprintf("anything from %d fewer to %d more", -low, high)
	}
	return fmt.Sprintf("%s: %s %s %s; with these counts %s per 100 rushes fits this film.", counts, first, verb(c.Name), more, fits)
}

// verb is a rate's name as something a group did.
func verb(rate string) string {
	switch rate {
	case "pressure":
		return "brought pressure"
	case "sack":
		return "sacked"
	default:
		return strings.Replace(rate, BeatInTime, "beat him in time", 1)
	}
}
