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
	bar     *progressbar.ProgressBar
}

// show is a [render.Events].
func (b *bars) show(e render.Event) {
	if !b.streams.IsTerminal {
		return
	}
	if b.bar == nil || b.stage != e.Stage {
		b.done()
		b.stage = e.Stage
		b.bar = progressbar.NewOptions64(int64(e.Total),
			progressbar.OptionSetWriter(b.streams.Err),
			progressbar.OptionSetDescription(string(e.Stage)),
			progressbar.OptionSetWidth(24),
			progressbar.OptionShowCount(),
			progressbar.OptionSetItsString("frames"),
			progressbar.OptionShowIts(),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionClearOnFinish(),
		)
	}
	_ = b.bar.Set64(int64(e.Done)) // a bar that cannot be drawn is no reason to stop
}

// done takes the bar off the terminal.
func (b *bars) done() {
	if b.bar != nil {
		_ = b.bar.Clear()
		b.bar = nil
	}
}
