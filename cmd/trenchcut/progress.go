package main

import (
	"cmp"
	"sync"
	"time"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/render"
)

// bars draws one progress bar a stage, on a terminal only.
type bars struct {
	streams streams
	unit    string // of what is counted; empty is frames
	// patience is how long the work goes on before a bar is drawn: what is usually done at once
	// needs none.
	patience time.Duration

	mu      sync.Mutex
	waiting *time.Timer  // until patience is over; nil before anything is told
	over    bool         // patience is
	last    render.Event // what was told while waiting
}

// screen is what bars are drawn on; nil where none are.
func (b *bars) screen() *terminal.Screen {
	s, ok := b.streams.Err.(*terminal.Screen)
	if !ok || !b.streams.IsTerminal {
		return nil
	}
	return s
}

// show is a [render.Events].
func (b *bars) show(e render.Event) {
	if b.screen() == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.last = e
	if b.patience == 0 || b.over {
		b.draw()
	} else if b.waiting == nil {
		b.waiting = time.AfterFunc(b.patience, func() {
			b.mu.Lock()
			defer b.mu.Unlock()
			if b.waiting != nil {
				b.over = true
				b.draw()
			}
		})
	}
}

func (b *bars) draw() {
	b.screen().Show(string(b.last.Stage), cmp.Or(b.unit, "frames"), int64(b.last.Done), int64(b.last.Total))
}

// done takes the bar off the terminal.
func (b *bars) done() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.waiting != nil {
		b.waiting.Stop()
		b.waiting, b.over = nil, false
	}
	if s := b.screen(); s != nil {
		s.Done()
	}
}
