package terminal

import (
	"cmp"
	"io"
	"sync"
	"time"
)

// Bars draws one progress bar a stage, on a terminal only.
type Bars struct {
	Unit string // of what is counted; empty is frames
	// Patience is how long work may run before its bar is drawn; 0 draws it at once.
	Patience time.Duration

	screen  *Screen // nil where no bar is drawn
	mu      sync.Mutex
	waiting *time.Timer // until Patience is over; nil before anything is told
	over    bool        // Patience is
	draw    func()      // draws what was told last
}

// NewBars draws on w where that is a Screen, and a terminal.
func NewBars(w io.Writer, isTerminal bool) *Bars {
	b := &Bars{}
	if isTerminal {
		b.screen, _ = w.(*Screen)
	}
	return b
}

// Show tells that so many of total units of a stage are done.
func (b *Bars) Show(stage string, done, total int64) {
	if b.screen == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.draw = func() { b.screen.Show(stage, cmp.Or(b.Unit, "frames"), done, total) }
	if b.Patience == 0 || b.over {
		b.draw()
	} else if b.waiting == nil {
		b.waiting = time.AfterFunc(b.Patience, func() {
			b.mu.Lock()
			defer b.mu.Unlock()
			if b.waiting != nil {
				b.over = true
				b.draw()
			}
		})
	}
}

// Done takes the bar off the terminal.
func (b *Bars) Done() {
	if b.screen == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.waiting != nil {
		b.waiting.Stop()
		b.waiting, b.over = nil, false
	}
	b.screen.Done()
}
