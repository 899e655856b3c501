package main

import (
	"time"

	"github.com/schollz/progressbar/v3"

	"trenchcut/pipeline/render"
)

// bars draws one progress bar a stage, on a terminal only.
type bars struct {
	streams streams
	stage   render.Stage
}

// screen is what bars are drawn on; nil where none are.
func (b *bars) screen() *screen {
	s, ok := b.streams.Err.(*screen)
	if !ok || !b.streams.IsTerminal {
		return nil
	}
	return s
}

// show is a [render.Events].
func (b *bars) show(e render.Event) {
	s := b.screen()
	if s == nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar == nil || b.stage != e.Stage {
		s.clear()
		b.stage = e.Stage
		s.bar = progressbar.NewOptions64(int64(e.Total),
			progressbar.OptionSetWriter(s.raw),
			progressbar.OptionSetDescription(string(e.Stage)),
			progressbar.OptionSetWidth(24),
			progressbar.OptionShowCount(),
			progressbar.OptionSetItsString("frames"),
			progressbar.OptionShowIts(),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionClearOnFinish(),
		)
	}
	_ = s.bar.Set64(int64(e.Done)) // a bar that cannot be drawn is no reason to stop
}

// done takes the bar off the terminal.
func (b *bars) done() {
	if s := b.screen(); s != nil {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.clear()
	}
}
