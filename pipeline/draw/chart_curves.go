package draw

import (
	"cmp"
	"fmt"
	"image/color"
	"slices"
	"strings"

	"trenchcut/tags/report"
)

// curvesChart draws [report.Curves].
type curvesChart report.Curves

// mostCurves is how many kinds of line can be told apart.
const mostCurves = 4

func (c curvesChart) check() error {
	if !seconds(c.Limit) || !seconds(c.Until) {
		return fmt.Errorf("limit %g s, scale to %g s: want 0 to %d", c.Limit, c.Until, mostSeconds)
	}
	for _, k := range c.Curves {
		gone := len(k.Censored) + k.Untimed
		if k.Untimed < 0 {
			return fmt.Errorf("curve %q: %d rushes with no end", k.Name, k.Untimed)
		}
		at, holds := 0.0, 1.0
		for _, s := range k.Steps {
			gone += s.Beaten
			if !seconds(s.At) || s.At < at || s.Beaten < 0 || !(0 <= s.Holds && s.Holds <= holds) ||
				!(0 <= s.Low && s.Low <= s.Holds && s.Holds <= s.High && s.High <= 1) {
				return fmt.Errorf("curve %q: step at %g s to %g (%g to %g) is out of order", k.Name, s.At, s.Holds, s.Low, s.High)
			}
			at, holds = s.At, s.Holds
		}
		for _, t := range k.Censored {
			if !seconds(t) {
				return fmt.Errorf("curve %q: rush to %g s, want 0 to %d", k.Name, t, mostSeconds)
			}
		}
		if gone != k.N {
			return fmt.Errorf("curve %q: %d rushes end of %d", k.Name, gone, k.N)
		}
	}
	return nil
}

func (c curvesChart) heading() (title string, lines, small []string) {
	key := "Line: share of blockers not yet beaten (Kaplan–Meier). Tick on it: a rush that ended first."
	if c.Beaten {
		key = "Line: share of all rushes on which the blocker was beaten before the ball was out. Tick on it: a rush that was over first."
	}
	if c.bands() {
		key += " Band: 95 % interval."
	}
	if slices.ContainsFunc(c.Curves, func(k report.Curve) bool { return enoughWatched(k) && stillGoing(k, fullFrom) < drawnTo(k) }) {
		key += fmt.Sprintf(" Thin: fewer than %d still going.", fullFrom)
	}
	return c.Title, c.Lines, append([]string{key}, c.Small...)
}

func (c curvesChart) rows() (all, most int) { return len(c.Curves), mostCurves }

func (c curvesChart) bands() bool { return c.Bands && len(c.Curves) <= 2 }

// blink is less than the difference between any two times, in seconds. Times that differ by less
// are the same: ticks are floats that were rounded.
const blink = 1e-9

// watched is how many rushes of k were still watched at t: who is beaten or leaves at t
// was there until then.
func watched(k report.Curve, t float64) int {
	n := k.N - k.Untimed
	for _, s := range k.Steps {
		if s.At < t-blink {
			n -= s.Beaten
		}
	}
	for _, at := range k.Censored {
		if at < t-blink {
			n--
		}
	}
	return n
}

// stepAt is the last step by t; before any all hold, and there is no interval.
func stepAt(k report.Curve, t float64) report.Step {
	last := report.Step{Holds: 1, Low: 1, High: 1}
	for _, s := range k.Steps {
		if s.At <= t {
			last = s
		}
	}
	return last
}

// endOf is when the last rush of k was over.
func endOf(k report.Curve) float64 {
	end := 0.0
	if n := len(k.Steps); n > 0 {
		end = k.Steps[n-1].At
	}
	for _, t := range k.Censored {
		end = max(end, t)
	}
	return end
}

// fullFrom is how many rushes still going a curve wants to be drawn in full.
const fullFrom = 10

// stillGoing is until when n rushes of k are going; 0 where there never were so many.
func stillGoing(k report.Curve, n int) float64 {
	ends := slices.Clone(k.Censored)
	for _, s := range k.Steps {
		for range s.Beaten {
			ends = append(ends, s.At)
		}
	}
	if len(ends) < n {
		return 0
	}
	slices.Sort(ends)
	return ends[len(ends)-n]
}

// drawnTo is how far k is drawn: as long as five rushes are still going. What fewer come to
// says nothing, and takes the most room.
func drawnTo(k report.Curve) float64 { return stillGoing(k, fewest) }

func enoughWatched(k report.Curve) bool { return k.N-k.Untimed >= fewest }

func (c curvesChart) until() float64 {
	end := c.Until
	if end == 0 {
		end = max(c.Limit*1.2, 1)
		for _, k := range c.Curves {
			end = max(end, endOf(k))
		}
	}
	return end
}

func (c curvesChart) desc() string {
	var b strings.Builder
	if c.Beaten {
		b.WriteString("Share of all rushes on which the blocker was beaten before the ball was out, by seconds from the snap. ")
	} else {
		b.WriteString("Share of blockers not yet beaten, by seconds from the snap. ")
	}
	for _, k := range c.Curves {
		fmt.Fprintf(&b, "%s: %d watched, %d beaten", k.Name, k.N, k.N-len(k.Censored)-k.Untimed)
		if s := stepAt(k, c.Limit); c.Beaten {
			if c.Limit > 0 && enoughWatched(k) && watched(k, c.Limit) >= fewest {
				fmt.Fprintf(&b, "; by %g s %s %%, %d still going", c.Limit, percent(1-s.Holds), watched(k, c.Limit))
			}
		} else if s := stepAt(k, c.Limit); c.Limit > 0 && enoughWatched(k) && s.Holds < 1 && s.Holds > 0 {
			fmt.Fprintf(&b, "; at %g s %s %% hold, 95 %% interval %s to %s %%, %d still going",
				c.Limit, percent(s.Holds), percent(s.Low), percent(s.High), watched(k, c.Limit))
		}
		b.WriteString(". ")
	}
	return b.String()
}

// dash is how the i-th curve is broken, so that it is known without its colour.
func (b *board) dash(i int) []float64 {
	u := b.thick()
	return [][]float64{nil, {5 * u, 2 * u}, {1.5 * u, 1.5 * u}, {6 * u, 1.5 * u, 1.5 * u, 1.5 * u}}[i]
}

func (b *board) series(i int) color.NRGBA {
	m := b.marks()
	return m[i%len(m)]
}

// Words around the curves.
const (
	holdWords  = "blockers not yet beaten"
	beatWords  = "beaten before the ball was out"
	snapWords  = "seconds from the snap"
	watchWords = "rushes still going"
)

func (c curvesChart) lay(b *board, n int) body {
	if len(c.Curves) == 0 {
		return b.none("No rush was timed.")
	}
	curves := c.Curves[:n]
	f, bold := b.face(b.small), b.bold(b.line)
	room := b.right - b.left
	full, ends := make([]string, n), make([]string, n)
	for i, k := range curves {
		full[i], ends[i] = k.Name, k.Name
		if !enoughWatched(k) {
			full[i], ends[i] = clean(k.Name)+" (too few for a curve)", ""
		}
	}
	swatch := b.small * 3
	number := max(f.width("100 %"), f.width(fmt.Sprint(slices.MaxFunc(curves, func(a, b report.Curve) int { return a.N - b.N }).N)))
	gutter := number + b.small/2
	names := shorten(f, full, room-swatch-b.small/2)
	right := number/2 + 1
	if b.wide {
		names = shorten(f, full, room/4-swatch-b.small)
		gutter = max(swatch+b.small/2+max(widest(f, names), f.width(watchWords)-swatch)+b.small+number/2, gutter)
		ends = shorten(bold, ends, room/5)
		right = widest(bold, ends) + b.line*2
	}
	x0, x1 := b.left+gutter, b.right-right
	a := secondsAxis(f, x0, x1, 0, c.until())
	if c.Until > 0 {
		a.end = c.Until
	}
	spacing := f.spacing()
	perRow := spacing * 5 / 4
	if !b.wide {
		perRow = spacing * 9 / 4
	}
	above := 2*spacing + b.small/2
	below := b.small/4 + 2*spacing + b.small/2 + spacing*btoi(!b.wide) + n*perRow
	least := above + below + max(8*b.line, n*bold.spacing())
	return body{least, max(least, above+below+room*2/5+room/5*btoi(!b.wide)), func(y0, y1 int) {
		top, bottom := y0+above, y1-below
		scale := func(share float64) float64 { return float64(bottom) - share*float64(bottom-top) }
		y, words := scale, holdWords
		if c.Beaten {
			y, words = func(holds float64) float64 { return scale(1 - holds) }, beatWords
		}
		b.write(b.left, y0, f, words, b.colours.quiet)
		b.shareScale(x0, x1, scale)
		ticks, times := a.ticks()
		b.rules(ticks, top, bottom)
		b.scale(ticks, bottom)
		b.add(line(guide, float64(x0), float64(bottom), float64(x1), float64(bottom), b.thin()*1.5, b.colours.quiet))
		b.writeMiddle((x0+x1)/2, bottom+b.small/4+spacing, f, snapWords, b.colours.quiet)
		if c.Limit > 0 && c.Limit <= a.end {
			b.limit(c.Limit, a, y0+spacing, bottom)
		}
		if c.bands() {
			for i, k := range curves {
				b.band(k, a, y, b.series(i))
			}
		}
		for i, k := range curves {
			if enoughWatched(k) {
				b.curve(k, a, y, i)
			}
		}
		if b.wide {
			b.ends(curves, ends, a, y, top, bottom)
		}

		b.watchTable(curves, names, swatch, perRow, bottom, ticks, times)
	}}
}

// shareScale draws the level lines of a scale of shares, and their numbers.
func (b *board) shareScale(x0, x1 int, y func(share float64) float64) {
	f := b.face(b.small)
	for p := 0; p <= 100; p += 25 {
		at := y(float64(p) / 100)
		b.add(line(guide, float64(x0), at, float64(x1), at, b.thin(), b.colours.hair()))
		says, top := fmt.Sprint(p), int(at)-f.spacing()/2
		switch p {
		case 0:
			top = int(at) - f.baseline() // clear of the time below
		case 100:
			says = "100 %"
		}
		b.writeEnd(x0-b.small/2, top, f, says, b.colours.quiet)
	}
}

// limit draws the staff's limit from below its name, which stands at y, down to bottom.
func (b *board) limit(seconds float64, a axis, y, bottom int) {
	f := b.face(b.small)
	x := a.at(seconds)
	b.add(line(limit, x, float64(y+f.spacing()), x, float64(bottom), b.thick()*.75, b.colours.ink, float64(b.line)/2, float64(b.line)/3))
	says := fmt.Sprintf("limit %g s", seconds)
	w := f.width(says)
	b.write(min(max(int(x)-w/2, int(a.x0)), b.right-w), y, f, says, b.colours.ink)
}

// watchTable names each curve below the scale, with how many were still watched at each tick.
func (b *board) watchTable(curves []report.Curve, names []string, swatch, perRow, bottom int, ticks []tick, times []float64) {
	f := b.face(b.small)
	spacing := f.spacing()
	at := bottom + b.small/4 + 2*spacing + b.small/2
	if b.wide {
		b.write(b.left, bottom+b.small/4+spacing, f, watchWords, b.colours.quiet)
	} else {
		b.write(b.left, at, f, watchWords, b.colours.quiet)
		at += spacing
	}
	for i, k := range curves {
		mid := float64(at) + float64(spacing)/2
		b.add(stroke{sample, [][]point{{{float64(b.left), mid}, {float64(b.left + swatch), mid}}}, b.thick(), b.dash(i), b.series(i)})
		b.write(b.left+swatch+b.small/2, at, f, names[i], b.colours.ink)
		numbers := at + (spacing+b.small/8)*btoi(!b.wide)
		for j, t := range ticks {
			b.writeMiddle(int(t.x+.5), numbers, f, fmt.Sprint(watched(k, times[j])), b.colours.ink)
		}
		at += perRow
	}
}

// stairs is a line of steps from all at 0 to an end, or to where the scale ends.
func stairs(k report.Curve, end float64, a axis, y func(float64) float64, share func(report.Step) float64) []point {
	end = min(end, a.end)
	last := y(1)
	line := []point{{a.at(0), last}}
	for _, s := range k.Steps {
		if s.At > end {
			break
		}
		x := a.at(s.At)
		line = append(line, point{x, last}, point{x, y(share(s))})
		last = y(share(s))
	}
	return append(line, point{a.at(end), last})
}

func (b *board) curve(k report.Curve, a axis, y func(float64) float64, i int) {
	c, w, end := b.series(i), b.thick(), drawnTo(k)
	whole := slices.Compact(stairs(k, end, a, y, func(s report.Step) float64 { return s.Holds }))
	full, thin := partedAt(whole, a.at(min(stillGoing(k, fullFrom), a.end)))
	if full != nil {
		b.add(stroke{series, [][]point{full}, w, b.dash(i), c})
	}
	if thin != nil {
		b.add(stroke{fading, [][]point{thin}, w * .45, b.dash(i), b.colours.pale(c)})
	}
	half := float64(b.line) * .3
	ticks := stroke{is: censored, width: w * .75, colour: b.colours.ink}
	for _, t := range slices.Compact(slices.Sorted(slices.Values(k.Censored))) {
		if t <= min(end, a.end) {
			at := y(stepAt(k, t).Holds)
			ticks.lines = append(ticks.lines, []point{{a.at(t), at - half}, {a.at(t), at + half}})
		}
	}
	if len(ticks.lines) > 0 {
		b.add(ticks)
	}
}

// partedAt is a line of steps up to x and from there on; a part of one place is none.
func partedAt(steps []point, x float64) (before, after []point) {
	for i, p := range steps {
		switch {
		case p.x <= x:
			before = append(before, p)
		default:
			if i > 0 && steps[i-1].x <= x {
				cut := point{x, steps[i-1].y}
				before, after = append(before, cut), append(after, cut)
			}
			after = append(after, p)
		}
	}
	before, after = slices.Compact(before), slices.Compact(after)
	if len(before) < 2 {
		before = nil
	}
	if len(after) < 2 {
		after = nil
	}
	return before, after
}

// band fills k's interval and edges it, as far as there is one.
func (b *board) band(k report.Curve, a axis, y func(float64) float64, c color.NRGBA) {
	if !enoughWatched(k) {
		return
	}
	end := drawnTo(k)
	for i, s := range k.Steps {
		if s.Holds == 0 {
			// There the interval says nothing: end where it ended saying something.
			k.Steps, end = k.Steps[:i], min(end, s.At)
			break
		}
	}
	low := slices.Compact(stairs(k, end, a, y, func(s report.Step) float64 { return s.Low }))
	high := slices.Compact(stairs(k, end, a, y, func(s report.Step) float64 { return s.High }))
	back := slices.Clone(low)
	slices.Reverse(back)
	tint := c
	tint.A = 0x28
	b.add(area{band, append(slices.Clone(high), back...), tint})
	if len(low) > 1 && len(high) > 1 {
		b.add(stroke{guide, [][]point{low, high}, b.thin(), nil, c})
	}
}

// ends names the curves at the right, each as near to where it ends as the others let,
// with a thin line between.
func (b *board) ends(curves []report.Curve, names []string, a axis, y func(float64) float64, top, bottom int) {
	f := b.bold(b.line)
	var order []int
	from := map[int]point{}
	for i, k := range curves {
		if enoughWatched(k) {
			end := min(drawnTo(k), a.end)
			from[i] = point{a.at(end), y(stepAt(k, end).Holds)}
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(from[i].y, from[j].y) })
	at := make([]int, len(order)) // tops
	for n, i := range order {
		at[n] = int(from[i].y) - f.spacing()/2
	}
	// Up from the bottom, as far as it takes; then down again from the top.
	for n, floor := len(at)-1, bottom; n >= 0; n-- {
		at[n] = min(at[n], floor-f.spacing())
		floor = at[n]
	}
	for n := range at {
		if n == 0 {
			at[n] = max(at[n], top-f.spacing()/2)
		} else {
			at[n] = max(at[n], at[n-1]+f.spacing())
		}
	}
	x := a.x1 + float64(b.line)*1.5
	for n, i := range order {
		mid := float64(at[n]) + float64(f.spacing())/2
		b.add(stroke{guide, [][]point{{from[i], {x - float64(b.line)/4, mid}}}, b.thin(), []float64{b.thin(), 2 * b.thin()}, b.colours.quiet})
		b.write(int(x), at[n], f, names[i], b.colours.ink)
	}
}
