package terminal

import (
	"cmp"
	"fmt"
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
	began time.Time                // when the stage did, and how much of it was done then
	from  int64
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
		s.began, s.from = time.Now(), done
		width := cmp.Or(WidthOf(s.out), PageWidth)
		options := []progressbar.Option{
			progressbar.OptionSetWriter(s.raw),
			progressbar.OptionSetDescription(stage),
			progressbar.OptionSetWidth(barWidth(width, stage, unit, total)),
			progressbar.OptionThrottle(100 * time.Millisecond),
			progressbar.OptionClearOnFinish(),
			progressbar.OptionSetRenderBlankState(true),
			progressbar.OptionSetElapsedTime(false),
			progressbar.OptionSetPredictTime(false),
		}
		if total > 1 {
			options = append(options, progressbar.OptionShowCount())
			if width >= roomy {
				options = append(options, progressbar.OptionSetItsString(unit), progressbar.OptionShowIts())
			}
		}
		s.bar = progressbar.NewOptions64(total, options...)
	}
	if left := timeLeft(time.Since(s.began), done-s.from, total-done); left != "" {
		s.bar.Describe(stage + ", " + left)
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

// sure is how long a stage must have run before the time left is estimated.
const sure = 2 * time.Second

// timeLeft estimates how long a stage still takes at the speed so far; empty where there is no
// estimate yet.
func timeLeft(gone time.Duration, done, left int64) string {
	if gone < sure || done <= 0 || left <= 0 {
		return ""
	}
	return Duration(time.Duration(float64(gone)*float64(left)/float64(done))) + " left"
}

// Duration is a time as people say it: "27 s", "3 min", "1 h 5 min".
func Duration(d time.Duration) string {
	switch s := int64(d.Round(time.Second) / time.Second); {
	case s < 1:
		return "1 s"
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s < 180:
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	case s < 3600:
		return fmt.Sprintf("%d min", (s+30)/60)
	default:
		return fmt.Sprintf("%d h %d min", (s+30)/3600, (s+30)%3600/60)
	}
}

// roomy is how wide a terminal is that has room for the speed too.
const roomy = 110

// barWidth is the width of the bar that lets its line fit in width cells, however long the numbers
// beside it become.
func barWidth(width int, stage, unit string, total int64) int {
	const most, least = 24, 4
	around := Cells(stage+", 2 min 59 s left") + Cells(" 100% || ")
	if total > 1 {
		around += Cells(fmt.Sprintf("(%d/%d)", total, total))
		if width >= roomy {
			around += Cells(fmt.Sprintf(", 9999 %s/s", unit))
		}
	}
	return min(max(width-1-around, least), most)
}
