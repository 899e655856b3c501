package stats

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Share is one line of numbers on a slate: K of N, and the interval of the rate from 0
// to 1, to be drawn as a bar where Bar says that there is a rate to be told.
type Share struct {
	Name string
	Count
	Low  float64
	High float64
	Bar  bool
	// Unknown is the reps not known of a rate of which only bounds can be told.
	Unknown int
}

// ShareOf is a rate as a line of numbers. One that is Bounded has no bar, which would be of the
// reps that happen to be known.
func ShareOf(name string, r Rate) Share {
	low, high := r.Interval()
	s := Share{Name: name, Count: r.Count, Low: low, High: high, Bar: r.Count.Enough() && !r.Bounded()}
	if r.Bounded() {
		s.Unknown = r.Unknown
	}
	return s
}

// Words is "6 of 8", or "6 of 8, 2 not known".
func (s Share) Words() string { return s.Count.Words() + unknownWords(s.Unknown) }

func unknownWords(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %d not known", n)
}

// Shares is what a closing slate says of reps: a line for each rate of which anything
// is known, and in plain words what they come to and who of them stands apart.
func (in Scope) Shares(reps []*tags.Rep, v *tags.Vocabulary) (shares []Share, sentence string) {
	s := in.Summarise(reps, v)
	for _, line := range s.Headline.Told() {
		if line.N == 0 {
			continue
		}
		shares = append(shares, ShareOf(line.Name, line.Rate))
	}
	sentence = s.Sentence()
	if s.Headline.Reps > 0 && len(s.Apart) > 0 { // else the sentence says so
		sentence += " Apart: " + s.ApartWords() + "."
	}
	return shares, sentence
}

// NamedRate is a rate with the words it goes by.
type NamedRate struct {
	Name string
	Rate
}

// Rates is the rates of a group, in the order a page prints them.
func (g Group) Rates() []NamedRate {
	return []NamedRate{{"won", g.Won}, {"pressure", g.Pressure}, {PressureHeWon, g.PressureWon}, {"sack", g.Sack}, {BeatInTime, g.BeatInTime}}
}

// Named is the rate that goes by a name of [Group.Rates].
func (g Group) Named(name string) Rate {
	for _, r := range g.Rates() {
		if r.Name == name {
			return r.Rate
		}
	}
	return Rate{}
}

// Told is Rates without those that repeat another: the pressure he won, where none was
// given to him.
func (g Group) Told() []NamedRate {
	rates := g.Rates()
	if g.PressureWon.Equal(g.Pressure) {
		rates = slices.DeleteFunc(rates, func(r NamedRate) bool { return r.Name == PressureHeWon })
	}
	return rates
}

// BeatInTime is the name of the rate of blockers beaten within the staff's limit.
const BeatInTime = "beat in time"

// PressureHeWon is the name of the rate of pressure that was not given.
const PressureHeWon = "pressure he won"

// Sentence is the summary in plain words, its rate per 100 rushes.
func (s Summary) Sentence() string {
	switch {
	case s.Reps == 0:
		return "No rep was chosen."
	case s.Headline.Reps == 0:
		return fmt.Sprintf("None of the chosen reps counts towards a rate: %s.", s.ApartWords())
	}
	said := "Won"
	c := s.Headline.Won
	if c.N == 0 {
		said, c = "Pressure on", s.Headline.Pressure
	}
	if c.N == 0 {
		return fmt.Sprintf("Neither battle nor outcome is tagged of %s.", tags.Count(s.Headline.Reps, "rep"))
	}
	if s.Scope.has("dropback") {
		return fmt.Sprintf("%s %s%s.", said, c.Words(), c.Meaning())
	}
	return fmt.Sprintf("On %s: %s %s%s.", s.Scope.Plays(), strings.ToLower(said), c.Words(), c.Meaning())
}

// ApartWords is who stands apart and why, in one line; empty where nobody does.
func (s Summary) ApartWords() string { return PartsWords(s.Apart) }

// PartsWords is parts in one line: "2 coverage, 1 clean-up".
func PartsWords(parts []Part) string {
	words := make([]string, len(parts))
	for i, p := range parts {
		words[i] = fmt.Sprintf("%d %s", p.Reps, p.Name)
	}
	return strings.Join(words, ", ")
}
