package terminal

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// Bars with patience are drawn only of work that goes on, be it one step that tells nothing more.
func TestBarsWait(t *testing.T) {
	draw := func(patience time.Duration, wait bool) string {
		var out bytes.Buffer
		b := NewBars(NewScreen(&out), true)
		b.Unit, b.Patience = "rows", patience
		b.Show("opening the sheet", 0, 1)
		for wait { // the timer's goroutine draws
			b.mu.Lock()
			wait = !b.over
			b.mu.Unlock()
		}
		b.Done()
		return out.String()
	}
	if got := draw(time.Hour, false); got != "" {
		t.Errorf("work that is done at once draws %q", got)
	}
	if got := draw(time.Nanosecond, true); !strings.Contains(got, "opening the sheet") || strings.Contains(got, "rows") {
		t.Errorf("one step that goes on draws %q", got)
	}
}
