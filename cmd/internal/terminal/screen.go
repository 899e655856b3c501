package terminal

import (
	"io"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
)

// Screen is standard error, where a progress bar may stand: a line takes the bar off, and
// it comes back below with its next step.
type Screen struct {
	out io.Writer
	raw io.Writer // for the bar, which does steer the terminal

	mu    sync.Mutex
	bar   *progressbar.ProgressBar // nil where there is none
	stage string                   // what the bar is of
}

// NewScreen is a Screen that writes to out.
func NewScreen(out io.Writer) *Screen {
	s := &Screen{out: out, raw: out}
	if t, ok := out.(*guard); ok {
		s.raw = t.to
	}
	return s
}

// Write implements io.Writer; what is written is whole lines.
func (s *Screen) Write(p []byte) (int, error) { return s.writeTo(s.out, p) }

// writeTo writes where the bar stands.
func (s *Screen) writeTo(w io.Writer, p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar != nil {
		_ = s.bar.Clear()
	}
	return w.Write(p)
}

// Show draws the bar of a stage of the work, of which so many of total units are done. A stage
// of one unit is a step that nothing is counted of.
func (s *Screen) Show(stage, unit string, done, total int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar == nil || s.stage != stage {
		s.clear()
		s.stage = stage
		options := []progressbar.Option{
			progressbar.OptionSetWriter(s.raw),
			progressbar.OptionSetDescription(stage),
			progressbar.OptionSetWidth(24),
			progressbar.OptionThrottle(100 * time.Millisecond),
			progressbar.OptionClearOnFinish(),
			progressbar.OptionSetRenderBlankState(true),
		}
		if total > 1 {
			options = append(options, progressbar.OptionShowCount(), progressbar.OptionSetItsString(unit), progressbar.OptionShowIts())
		}
		s.bar = progressbar.NewOptions64(total, options...)
	}
	_ = s.bar.Set64(done) // a bar that cannot be drawn is no reason to stop
}

// Done takes the bar off for good.
func (s *Screen) Done() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.clear()
}

func (s *Screen) clear() {
	if s.bar != nil {
		_ = s.bar.Clear()
		s.bar = nil
	}
}
