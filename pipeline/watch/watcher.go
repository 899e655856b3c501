package watch

import (
	"slices"

	"trenchcut/tags"
)

// Whether a shot begins with a frame is told from reach frames on each side of it. margin is
// how many frames beyond the edges of a part must be seen so that the frames beside the
// edges are judged as all others are.
const (
	reach  tags.Frame = 18
	margin            = reach + settle
)

// settle is how far apart two findings of one break may be.
const settle tags.Frame = 4

// watcher sees the frames of one part of a film in order, and margin more on each side of
// it where there are any.
type watcher struct {
	span   tags.Span
	stride tags.Frame // how far apart frames are compared to see what moves
	every  tags.Frame // how many frames lie between looks, and between stills
	ring   [2*reach + 1]picture
	first  tags.Frame // the first frame seen; -1 before
	next   tags.Frame // the next frame to see
	judged tags.Frame // the next frame to judge

	moves  []float32
	breaks []Break
	looks  []look
	stills []Still

	found finding // a cut, until a clearer one can no longer follow close behind
	blend finding // a blend, likewise
	blank bool    // the frame judged last is of one colour
}

// finding is a break that was found and how clear it is.
type finding struct {
	Break
	clear float64
	open  bool
}

func newWatcher(rate tags.Rate, span tags.Span) *watcher {
	return &watcher{
		span: span, first: -1,
		stride: min(max(rate.Floor(tags.Second/14), 1), reach),
		every:  max(rate.Floor(lookEvery), 1),
	}
}

// at is frame n, or the nearest one seen.
func (w *watcher) at(n tags.Frame) *picture {
	n = min(max(n, w.first), w.next-1)
	return &w.ring[n%tags.Frame(len(w.ring))]
}

// see takes frame n, whose planes are of a still's size; frames come one after another.
func (w *watcher) see(n tags.Frame, planes []byte) {
	if w.first < 0 {
		w.first, w.next = n, n
		w.judged = max(w.span.In-settle, n)
	}
	w.next = n + 1
	w.at(n).set(planes)
	if n%w.every == 0 && n >= w.span.In && n < w.span.Out {
		w.stills = append(w.stills, stillOf(n, planes))
	}
	for w.judged+reach < w.next {
		w.judge(w.judged)
		w.judged++
	}
}

// finish judges the last frames, which have fewer than reach behind them.
func (w *watcher) finish() {
	for ; w.first >= 0 && w.judged < min(w.next, w.span.Out+settle); w.judged++ {
		w.judge(w.judged)
	}
	w.close(w.next + 2*reach)
	// A film may be a few frames shorter than its tables say.
	for tags.Frame(len(w.moves)) < w.span.Len() {
		w.moves = append(w.moves, 0)
	}
}

// judge compares frame n with those around it.
func (w *watcher) judge(n tags.Frame) {
	if n >= w.span.Out+settle {
		return
	}
	if n >= w.span.In && n < w.span.Out {
		w.moves = append(w.moves, float32(moved(w.at(n-w.stride), w.at(n))))
		if n%w.every == 0 {
			w.looks = append(w.looks, w.at(n).look(n))
		}
	}
	w.close(n)
	w.judgeCut(n)
	w.judgeBlank(n)
	w.judgeBlend(n)
}

// The thresholds of a break. Differences are in steps of light, of 255. The numbers were
// found on invented film, coded well and badly.
const (
	leastCut   = 0.7  // two shots differ by more
	leastStill = 0.25 // and by more than this once the camera's movement is taken out
	knocked    = 0.18 // of what a knock to the camera changes, less than this is left then
	steadyCut  = 4.0  // and by so many times as much as frames of one shot do
	movingCut  = 2.2  // or so many times, with the camera's movement taken out of both
	suddenCut  = 4.0  // or from one frame to the next by so many times as much as those around
	ownStep    = 0.35 // the cut itself makes at least this much of the difference
	passBack   = 0.15 // a picture that comes back as near as this has not been cut away from
	flashBack  = 0.4  // or as near as this, where it is light that came and went
	leastBlend = 5.0  // two shots that blend differ by more
	evenBlend  = 0.35 // and amid the blend the picture is as near as this to their average
	oneColour  = 4.0  // a picture of less contrast shows nothing
	unsure     = 0.1  // a difference that says nothing
)

// judgeCut looks for a cut from n-1 to n: three frames across it differ by far more than
// three frames on either side of it, for a cut may be blurred over two frames.
func (w *watcher) judgeCut(n tags.Frame) {
	if n == w.first {
		return
	}
	before, after := w.at(n-2), w.at(n+1)
	across := before.differs(after)
	if across < leastCut {
		return
	}
	step := w.at(n - 1).differs(w.at(n))
	if step < ownStep*across || !w.stands(n, across, step) || w.returns(n, across) {
		return
	}
	if w.at(n-1).stilled(w.at(n)) < max(leastStill, knocked*step) {
		return
	}
	if !w.found.open || step > w.found.clear {
		w.found = finding{Break{n, Cut}, step, true}
	}
}

// stands reports whether what changes at n stands out from what changes around it.
func (w *watcher) stands(n tags.Frame, across, step float64) bool {
	if across > steadyCut*w.within(n, (*picture).differs) {
		return true
	}
	var others []float64
	for k := tags.Frame(1); k <= 5; k++ {
		others = append(others, w.at(n-1-k).differs(w.at(n-k)), w.at(n+k-1).differs(w.at(n+k)))
	}
	slices.Sort(others)
	// The two largest may be a light that goes on and off.
	if step > suddenCut*max(unsure, others[len(others)-3]) {
		return true
	}
	return w.at(n-2).stilled(w.at(n+1)) > movingCut*w.within(n, (*picture).stilled)
}

// within is the most that frames differ, by the measure given, that are on one side of n
// and three frames apart. A light that goes off on that side does not count.
func (w *watcher) within(n tags.Frame, measure func(a, b *picture) float64) float64 {
	side := func(a, b, c tags.Frame) float64 {
		return min(max(measure(w.at(a), w.at(b)), measure(w.at(b), w.at(c))), measure(w.at(a), w.at(c)))
	}
	return max(unsure, side(n-8, n-5, n-2), side(n+1, n+4, n+7))
}

// returns reports whether the picture from before n soon comes back, or the one from after
// it was there shortly before: a light went off, or something passed before the camera.
func (w *watcher) returns(n tags.Frame, across float64) bool {
	before, after := w.at(n-2), w.at(n+1)
	near := passBack * across
	if lighter := before.mean - after.mean; max(lighter, -lighter) > across/2 {
		near = flashBack * across
	}
	for k := tags.Frame(2); k < reach-2; k++ {
		if before.differs(w.at(n+k)) < near || after.differs(w.at(n-1-k)) < near {
			return true
		}
	}
	return false
}

// judgeBlank looks for the picture going to one colour, or coming from it.
func (w *watcher) judgeBlank(n tags.Frame) {
	blank := w.at(n).contrast < oneColour
	if blank != w.blank && n > w.first {
		w.keep(Break{n, Blank})
	}
	w.blank = blank
}

// judgeBlend looks for a picture that is the average of those well before and after it.
func (w *watcher) judgeBlend(n tags.Frame) {
	const half = 16
	if n-half < w.first || n+half >= w.next {
		return
	}
	a, m, b := w.at(n-half), w.at(n), w.at(n+half)
	between := a.differsInShape(b)
	if between < leastBlend {
		return
	}
	off := m.offAverage(a, b)
	if off > evenBlend*between {
		return
	}
	if a.stilled(b) < leastBlend {
		return
	}
	if clear := between / (off + 0.5); !w.blend.open || clear > w.blend.clear {
		w.blend = finding{Break{n, Blend}, clear, true}
	}
}

// close keeps the findings so far before n that no clearer one can follow.
func (w *watcher) close(n tags.Frame) {
	if w.found.open && n > w.found.At+settle {
		w.keep(w.found.Break)
		w.found.open = false
	}
	if w.blend.open && n > w.blend.At+reach {
		w.keep(w.blend.Break)
		w.blend.open = false
	}
}

// keep adds a break, unless it is one that is there already. A cut replaces any other kind,
// since its place is the most exact.
func (w *watcher) keep(b Break) {
	if b.At < w.span.In || b.At >= w.span.Out || b.At == 0 {
		return
	}
	for i := len(w.breaks) - 1; i >= 0; i-- {
		near := settle
		if b.Kind == Blend || w.breaks[i].Kind == Blend {
			near = reach
		}
		if d := b.At - w.breaks[i].At; max(d, -d) <= near {
			if b.Kind == Cut {
				w.breaks[i] = b
			}
			return
		}
	}
	w.breaks = append(w.breaks, b)
}
