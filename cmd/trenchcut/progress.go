package main

import (
	"cmp"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/render"
)

// bars draws one progress bar a stage, on a terminal only.
type bars struct {
	streams streams
	unit    string // of what is counted; empty is frames
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
	if s := b.screen(); s != nil {
		s.Show(string(e.Stage), cmp.Or(b.unit, "frames"), int64(e.Done), int64(e.Total))
	}
}

// done takes the bar off the terminal.
func (b *bars) done() {
	if s := b.screen(); s != nil {
		s.Done()
	}
}
