package page

import (
	"strings"
	"testing"
)

// A note takes as much paper in letters with marks as without.
func TestPaperInLetters(t *testing.T) {
	said := func(letter string) string {
		snaps := make([]Snap, fewSaid-1)
		for i := range snaps {
			snaps[i] = Snap{Note: strings.Repeat(letter, saidWidth-3), What: strings.Repeat(letter, saidWidth-1)}
		}
		return Player{Games: []GradedGame{{Snaps: snaps}}}.Paper()
	}
	if plain, marked := said("a"), said("ā"); plain != "" || marked != plain {
		t.Errorf("print is %q, and %q where letters have marks", plain, marked)
	}
}
