package sync

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// Lag is how the time of a film runs against that of another, the first, of the same event.
type Lag struct {
	At    tags.Time // a time on the first film, about amid the windows or marks
	By    tags.Time // the film's time less the first's, at At
	Drift float64   // by how many parts in a million By grows with the first film's time
	Clear float64   // how clearly it was heard: peak over next peak, the median window's; 0 is not heard
	Agree int       // how many windows of sound, or marks, agree on it
	Of    int       // how many could
}

// On is the lag at a time on the first film.
func (l Lag) On(t tags.Time) tags.Time {
	return l.By + tags.Time(math.Round(float64(t-l.At)*l.Drift/1e6))
}

// back is the lag of the first film against the other.
func (l Lag) back() Lag {
	l.At += l.By
	l.By, l.Drift = -l.By, -l.Drift
	return l
}

// ErrUnsure says that two films were not put in step, because nothing sure enough was found.
var ErrUnsure = errors.New("not sure enough")

// What counts as sure.
const (
	leastClear = 2.5   // a window is heard where its peak is so much above the next; unrelated sound gives up to 1.6
	leastAgree = 3     // windows, of which no two beside one another share more than half
	mostDrift  = 300   // parts in a million; cameras' clocks are within 50 (common practice)
	mostOff    = 0.004 // seconds from where the others say that a window may be, for echoes
	longWindow = 10    // seconds
	leastSound = 2     // seconds
	mostWindow = 12
)

// Listen is the lag of b against a, from what both heard. It fails with [ErrUnsure] where
// too few windows of the sound are heard clearly in the other, or those that are do not
// agree, as when a camera was stopped in between.
func Listen(ctx context.Context, a, b film.Sound) (Lag, error) {
	if a.Rate != b.Rate {
		return Lag{}, fmt.Errorf("compare sound: %d and %d samples a second", a.Rate, b.Rate)
	}
	// Windows of the shorter sound are looked for in the longer, which has all of them.
	if len(a.Samples) > len(b.Samples) {
		lag, err := Listen(ctx, b, a)
		return lag.back(), err
	}
	if len(a.Samples) < leastSound*a.Rate {
		return Lag{}, fmt.Errorf("less than %d s of sound: %w", leastSound, ErrUnsure)
	}
	l := newListener(a, b)
	if err := l.listen(ctx); err != nil {
		return Lag{}, err
	}
	return l.judge()
}

// listener looks for windows of the sound a in b.
type listener struct {
	a, b   film.Sound
	window int
	starts []int // in a, in order
	loud   []bool
	hits   []hit // by start
}

func newListener(a, b film.Sound) *listener {
	l := &listener{a: a, b: b, window: min(max(len(a.Samples)/4, a.Rate), longWindow*a.Rate)}
	rest := len(a.Samples) - l.window
	n := min(2*rest/l.window+1, mostWindow)
	for i := range n {
		start := rest * i / (n - 1)
		l.starts = append(l.starts, start)
		l.loud = append(l.loud, loud(a.Samples[start:start+l.window]))
	}
	l.hits = make([]hit, n)
	return l
}

// loud reports whether there is more sound in samples than a microphone turned off gives.
func loud(samples []int16) bool {
	const step = 2 // of 32768, to either side
	first, heard := samples[0], 0
	for _, v := range samples {
		if d := int(v) - int(first); max(d, -d) > step {
			heard++
		}
	}
	return heard > len(samples)/100
}

// listen looks for windows all over b, a few at a time, until two agree; for the others
// it then looks nearby first. Where nothing is nearby it looks all over b again, or else a
// camera that was stopped would go unnoticed.
func (l *listener) listen(ctx context.Context) error {
	// Far from one another in turn, so that the first few tell of the whole film.
	n, stride := len(l.starts), 5
	if n%stride == 0 {
		stride = 3
	}
	var waiting []int
	for i := range n {
		if at := i * stride % n; l.loud[at] {
			waiting = append(waiting, at)
		}
	}
	c := &correlator{in: l.b.Samples, rate: l.b.Rate, window: l.window}
	for batch := 3; len(waiting) > 0; {
		if line, agree := l.line(); agree >= 2 {
			var missed []int
			for _, i := range waiting {
				at := int(line.on(float64(l.starts[i]))) + l.starts[i]
				hits, err := c.find(ctx, [][]int16{l.samples(i)}, at-2*l.b.Rate, at+2*l.b.Rate)
				if err != nil {
					return err
				}
				if l.hits[i] = hits[0]; hits[0].clear < leastClear {
					missed = append(missed, i)
				}
			}
			if waiting, batch = missed, len(missed); batch == 0 {
				return nil
			}
		}
		now := waiting[:min(batch, len(waiting))]
		waiting = waiting[len(now):]
		var windows [][]int16
		for _, i := range now {
			windows = append(windows, l.samples(i))
		}
		hits, err := c.find(ctx, windows, 0, len(l.b.Samples))
		if err != nil {
			return err
		}
		for k, i := range now {
			l.hits[i] = hits[k]
		}
	}
	return nil
}

func (l *listener) samples(i int) []int16 { return l.a.Samples[l.starts[i]:][:l.window] }

// line is a lag in samples that grows with time: by at the sample 0, and slope.
type line struct{ by, slope float64 }

func (l line) on(at float64) float64 { return l.by + l.slope*at }

// line is the line that most of the windows that were heard lie on, and how many do. Each
// two of them give one to try.
func (l *listener) line() (best line, agree int) {
	for i := range l.starts {
		for k := range i + 1 {
			if l.hits[i].clear < leastClear || l.hits[k].clear < leastClear {
				continue
			}
			try := line{by: l.lag(i)}
			if i != k {
				try.slope = (l.lag(i) - l.lag(k)) / float64(l.starts[i]-l.starts[k])
				try.by -= try.slope * float64(l.starts[i])
			}
			if math.Abs(try.slope) > mostDrift/1e6 {
				continue
			}
			if n := len(l.on(try)); n > agree {
				best, agree = try, n
			}
		}
	}
	return best, agree
}

// lag is how much later than in a the i-th window is heard in b, in samples.
func (l *listener) lag(i int) float64 { return l.hits[i].at - float64(l.starts[i]) }

// on is the windows that were heard where a line says.
func (l *listener) on(by line) []int {
	var on []int
	for i, h := range l.hits {
		if h.clear >= leastClear && math.Abs(l.lag(i)-by.on(float64(l.starts[i]))) <= mostOff*float64(l.a.Rate) {
			on = append(on, i)
		}
	}
	return on
}

// judge is the lag that the windows agree on.
func (l *listener) judge() (Lag, error) {
	by, _ := l.line()
	on := l.on(by)
	fitted := l.fit(on)
	lag := Lag{Agree: len(on), Clear: l.usual(on)}
	heard, could, astray := 0, 0, -1
	for i, start := range l.starts {
		if !l.loud[i] {
			continue
		}
		at := fitted.on(float64(start)) + float64(start)
		within := at >= 0 && at <= float64(len(l.b.Samples)-l.window)
		if l.hits[i].clear >= leastClear {
			heard++
		}
		// A window is not as clear as this by chance.
		if l.hits[i].clear >= max(leastClear, lag.Clear/2) && !slices.Contains(on, i) {
			astray = i
		}
		if within || l.hits[i].clear >= leastClear {
			could++
		}
	}
	lag.Of = could
	if len(on) == 0 {
		lag.Of = len(l.starts)
		lag.Clear = l.usual(nil)
	}
	sample := float64(tags.Second) / float64(l.a.Rate)
	mid := 0.0
	for _, i := range on {
		mid += (float64(l.starts[i]) + float64(l.window)/2) / float64(len(on))
	}
	lag.At = l.a.From + tags.Time(math.Round(mid*sample))
	lag.By = l.b.From - l.a.From + tags.Time(math.Round(fitted.on(mid-float64(l.window)/2)*sample))
	lag.Drift = fitted.slope * 1e6
	switch {
	case heard == 0:
		return lag, fmt.Errorf("neither hears what the other does: %w", ErrUnsure)
	case astray >= 0:
		at := l.a.From + tags.Time(l.starts[astray])*tags.Time(sample)
		off := tags.Time((l.lag(astray) - fitted.on(float64(l.starts[astray]))) * sample)
		return lag, fmt.Errorf("what is heard at %s is %s away from where the rest says, as when a camera was stopped: %w", at, max(off, -off), ErrUnsure)
	case len(on) < leastAgree, 3*len(on) < could:
		return lag, fmt.Errorf("only %d of %d windows of sound agree: %w", len(on), could, ErrUnsure)
	}
	return lag, nil
}

// fit is the line that fits windows best, by least squares. It is level where the windows
// lie within a minute: clocks do not come apart in that time, so a slope would be chance.
func (l *listener) fit(on []int) line {
	if len(on) == 0 {
		return line{}
	}
	n, x, y := float64(len(on)), 0.0, 0.0
	for _, i := range on {
		x += float64(l.starts[i]) / n
		y += l.lag(i) / n
	}
	if span := l.starts[on[len(on)-1]] - l.starts[on[0]]; span < 60*l.a.Rate {
		return line{by: y}
	}
	xx, xy := 0.0, 0.0
	for _, i := range on {
		dx := float64(l.starts[i]) - x
		xx += dx * dx
		xy += dx * (l.lag(i) - y)
	}
	slope := xy / xx
	return line{y - slope*x, slope}
}

// usual is the median of how clear windows were heard, of all where none are named.
func (l *listener) usual(of []int) float64 {
	var clear []float64
	for i, h := range l.hits {
		if l.loud[i] && (of == nil || slices.Contains(of, i)) {
			clear = append(clear, h.clear)
		}
	}
	return median(clear)
}

// Moment is one instant that was marked on two films.
type Moment struct{ First, Other tags.Time }

// InStep is the lag that instants marked on two films give. It fails with [ErrUnsure]
// where there is only one, since a slip would not show, or where they are not the same
// time apart, give or take two frames and the drift of clocks.
func InStep(moments []Moment, frame tags.Time) (Lag, error) {
	lag := Lag{Agree: len(moments), Of: len(moments)}
	if len(moments) == 0 {
		return lag, fmt.Errorf("nothing is marked in both: %w", ErrUnsure)
	}
	moments = slices.Clone(moments)
	slices.SortFunc(moments, func(a, b Moment) int { return cmp.Compare(a.First, b.First) })
	n := tags.Time(len(moments))
	for _, m := range moments {
		lag.At += m.First / n
		lag.By += (m.Other - m.First) / n
	}
	first, last := moments[0], moments[len(moments)-1]
	long := last.First - first.First
	if long < tags.Second {
		return lag, fmt.Errorf("only one instant is marked in both: mark another, minutes from it: %w", ErrUnsure)
	}
	for _, m := range moments {
		off := m.Other - m.First - lag.By
		if max(off, -off) > 2*frame+tags.Time(float64(long)*mostDrift/1e6) {
			return lag, fmt.Errorf("the instants marked in both are not the same time apart, by %s: a camera was stopped, or one is marked wrong: %w", max(off, -off), ErrUnsure)
		}
	}
	// Marks may be a frame off, so only a long time shows that clocks come apart.
	if apart := (last.Other - last.First) - (first.Other - first.First); long > 10*60*tags.Second && max(apart, -apart) > 2*frame {
		lag.Drift = float64(apart) / float64(long) * 1e6
	}
	return lag, nil
}

// median sorts values and returns the middle one; 0 of none.
func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	return values[len(values)/2]
}
