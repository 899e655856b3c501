package report

import (
	"fmt"

	"trenchcut/tags/stats"
)

// howManyLead is said before how many rushes a gap takes.
const howManyLead = "Before anything is made of a gap: "

// howMany says how many rushes the gap that the sentence is of takes, and how many there
// are; empty where there is no rate on both sides.
func (a Against) howMany() string {
	for _, c := range a.versus.Rates {
		if c.First.N == 0 || c.Second.N == 0 {
			continue
		}
		if c.Difference == nil {
			return ""
		}
		words := stats.HowMany(float64(c.First.K)/float64(c.First.N), float64(c.Second.K)/float64(c.Second.N))
		if words == "" {
			return ""
		}
		return fmt.Sprintf("%s%s; here are %d and %d.", howManyLead, words, c.First.N, c.Second.N)
	}
	return ""
}
