package main

import (
	"bytes"
	"testing"
	"time"
)

// A summary is for whoever sits there, and says how long it took where it took any time.
func TestSummary(t *testing.T) {
	for took, want := range map[time.Duration]string{time.Second: "Next: play it.", 95 * time.Second: "It took 1 min 35 s. Next: play it."} {
		if got := summaryWords(took, "play it."); got != want {
			t.Errorf("after %v: %q, want %q", took, got, want)
		}
	}
	for terminal, want := range map[bool]string{true: "Next: play it.\n", false: ""} {
		var out bytes.Buffer
		if err := (streams{Err: &out, IsTerminal: terminal}).summary(time.Now().Add(time.Hour), "play it."); err != nil || out.String() != want {
			t.Errorf("on a terminal %v: %q, %v", terminal, out.String(), err)
		}
	}
}
