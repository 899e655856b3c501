package outline

import (
	"slices"
	"testing"
)

// A play that is not on film is not among those that are not sure.
func TestDoubtsLeaveOutTheAbsent(t *testing.T) {
	doubtful := func(numbers ...int) []Play {
		var list []Play
		for _, n := range numbers {
			list = append(list, Play{Number: n, SureOfAngles: true})
		}
		return list
	}
	for want, p := range map[string]Proposal{
		"plays 1, 3 to 6 are not sure: the film would fit another way nearly as well":    {Plays: doubtful(1, 3, 4, 5, 6), Absent: []int{2}},
		"plays 1 to 2, 5, 7 are not sure: the film would fit another way nearly as well": {Plays: doubtful(1, 2, 5, 7), Absent: []int{3, 4, 6}},
		"plays 1 to 6 are not sure: the film would fit another way nearly as well":       {Plays: doubtful(1, 2, 4, 6), Absent: []int{8}}, // the sheet has no 3
		"play 4 is not sure: the film would fit another way nearly as well":              {Plays: doubtful(4), Absent: []int{3}},
	} {
		if got := p.Doubts(); !slices.Contains(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
