package main

import (
	"io"
	"sync"

	"github.com/schollz/progressbar/v3"
)

// screen is standard error, where a progress bar may stand: a line takes the bar off, and
// it comes back below with its next step.
type screen struct {
	mu  sync.Mutex
	out io.Writer
	raw io.Writer                // for the bar, which does steer the terminal
	bar *progressbar.ProgressBar // nil where there is none
}

func newScreen(out io.Writer) *screen {
	s := &screen{out: out, raw: out}
	if t, ok := out.(*terminal); ok {
		s.raw = t.to
	}
	return s
}

// Write implements io.Writer; what is written is whole lines.
func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar != nil {
		_ = s.bar.Clear()
	}
	return s.out.Write(p)
}

// clear takes the bar off for good.
func (s *screen) clear() {
	if s.bar != nil {
		_ = s.bar.Clear()
		s.bar = nil
	}
}
