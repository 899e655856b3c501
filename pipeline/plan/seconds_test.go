package plan

import (
	"testing"

	"trenchcut/tags"
)

// A label tells a time on the side of the limit that it is on.
func TestSecondsWords(t *testing.T) {
	limit := 5 * tags.Second / 2
	for ms, want := range map[tags.Time]string{2460: "2.5 s", 2500: "2.5 s", 2503: "2.503 s", 2540: "2.54 s", 2560: "2.6 s", 1840: "1.8 s", 3149: "3.1 s"} {
		if got := secondsWords(ms*tags.Second/1000, limit); got != want {
			t.Errorf("%d ms: %s, want %s", ms, got, want)
		}
	}
}
