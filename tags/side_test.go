package tags

import (
	"fmt"
	"strings"
	"testing"
)

// Worked out by hand on a drawn field: the defense's left is over the offense's right.
func TestSides(t *testing.T) {
	for _, c := range []struct{ play, side, want string }{
		{"", "left", "left  "},
		{"strength: left, ", "left", "left strong "},
		{"strength: left, ", "right", "right weak "},
		{"strength: right, ", "weak", "left weak "},
		{"strength: right, ", "strong", "right strong "},
		{"", "strong", " strong "},
		// The ball on the offense's left hash: the wide side is to its right, the defense's left.
		{"hash: left, ", "left", "left  field"},
		{"hash: left, ", "right", "right  boundary"},
		{"hash: right, ", "field", "right  field"},
		{"hash: right, ", "boundary", "left  boundary"},
		{"hash: middle, ", "left", "left  "}, // no side is the wider
		{"hash: middle, ", "field", "  field"},
		{"hash: left, strength: left, ", "strong", "left strong field"},
		{"hash: left, strength: left, ", "boundary", "right weak boundary"},
	} {
		g, faults := parseText(t, fmt.Sprintf("  - {play: 1, in: 1s, out: 9s, %sreps: [91 9 %s won]}\n", c.play, c.side))
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		r := g.Plays[0].Reps[0]
		if got := strings.Join([]string{r.LeftRight(), r.StrongWeak(), r.FieldBoundary()}, " "); got != c.want {
			t.Errorf("%s%s: %q, want %q", c.play, c.side, got, c.want)
		}
	}
}

func TestSideAgainstTheBlocker(t *testing.T) {
	for rep, warned := range map[string]bool{
		"{rusher: oke, side: left, blocker: {who: q72}, battle: won}":                                 true, // a left tackle
		"{rusher: oke, side: right, blocker: {who: q72}, battle: won}":                                false,
		"{rusher: oke, side: strong, blocker: {who: q72}, battle: won}":                               false, // strong is not known
		"{rusher: oke, side: boundary, blocker: {who: q72}, battle: won}":                             true,
		"{rusher: oke, job: looper, side: left, stunt: tackle-end, blocker: {who: q72}, battle: won}": false,
	} {
		_, faults := parseText(t, "  - {play: 1, in: 1s, out: 9s, hash: right, reps: ["+rep+"]}\n")
		if got := strings.Contains(fmt.Sprint(faults), "over the defense's right"); got != warned || faults.Grave() > 0 {
			t.Errorf("%s: %v", rep, faults)
		}
	}
}
