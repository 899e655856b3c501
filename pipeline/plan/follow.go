package plan

import (
	"math"
	"slices"

	"trenchcut/tags"
)

// PhonePart is how much of the width of a picture of 16:9 a phone shows of it.
const PhonePart = .42

// Eye tells what moves in the frames of span of the film at path, a play whose snap is at
// frame snap.
type Eye func(path string, span tags.Span, snap tags.Frame) (Motion, error)

// Pan shows a part of the film's picture, as wide as the segment's Fit is: the picture is
// scaled to Width and Fit's height, and its part starts X pixels from its left. Between keys
// X changes evenly; before the first and after the last it stays.
type Pan struct {
	Width int      `json:"width"`
	Keys  []PanKey `json:"keys"`
}

// PanKey is where a part starts at a frame of the segment.
type PanKey struct {
	At tags.Frame `json:"at"`
	X  int        `json:"x"`
}

// X is where the part starts at frame n.
func (p Pan) X(n tags.Frame) int {
	for i, k := range p.Keys {
		switch {
		case n > k.At:
		case i == 0 || n == k.At:
			return k.X
		default:
			before := p.Keys[i-1]
			return evenly(tags.Span{In: before.At, Out: k.At}, n, before.X, k.X)
		}
	}
	return p.Keys[len(p.Keys)-1].X
}

// evenly moves from one place at span.In to another at span.Out, in a straight line, and returns
// where that is at frame n.
func evenly(span tags.Span, n tags.Frame, from, to int) int {
	return from + int(int64(to-from)*int64(n-span.In)/int64(span.Len()))
}

// How a pan is made of what is followed.
const (
	panBefore = tags.Second / 2 // looked at before the snap
	panStep   = tags.Second / 5 // between its keys, of film
)

// follow is where the rush is in a shot, where the shape follows it and it can be told. Only
// what the end zone shows of a pass from the pocket is followed: from the side a passer was cut off at
// the finish in 6 of 35 plays.
func (b *builder) follow(s shot) *Follow {
	if b.recipe.Shape != Phone || b.recipe.Eye == nil || s.view.Angle != "endzone" || !s.view.Snaps ||
		!slices.Contains([]string{"dropback", "play-action", "quick"}, s.play.Type) {
		return nil
	}
	man, known := s.lines()
	if !known {
		b.leaveOut("following the rush of "+s.play.Name(), "no spot tells where he lines up")
		return nil
	}
	span := tags.Span{In: max(s.frame(-panBefore), s.span.In), Out: min(s.reveal, s.span.Out)}
	motion, err := b.recipe.Eye(s.view.File, span, s.frame(0))
	if err == nil {
		if f, sure := motion.Window(PhonePart, &man); sure {
			return &f
		}
	}
	b.leaveOut("following the rush of "+s.play.Name(), "too much else moves to be sure of it")
	return nil
}

// lines is where the first rusher of a shot lines up, 0 to 1 of the picture's width: his spot, or
// an estimate by his alignment and the other spots of the game on that angle.
func (s shot) lines() (x float64, known bool) {
	if len(s.reps) == 0 {
		return 0, false
	}
	r := s.reps[0]
	if p, ok := r.Spot[s.view.Angle]; ok {
		return p.X, true
	}
	out, ok := r.Outside()
	if !ok {
		return 0, false
	}
	var sum, n float64
	for _, p := range s.play.Game.Plays {
		for _, other := range p.Reps {
			at, marked := other.Spot[s.view.Angle]
			if by, ok := other.Outside(); marked && ok && by != 0 {
				sum, n = sum+(at.X-.5)/by, n+1
			}
		}
	}
	if n == 0 {
		return 0, false
	}
	return min(max(.5+out*sum/n, .05), .95), true
}

// pan is what of the shot's film seg shows, which fills its place.
func (s shot) pan(seg Segment) *Pan {
	p := &Pan{Width: even(seg.Fit.Height * s.source.Width / s.source.Height)}
	first := s.at(seg)
	for n := tags.Frame(0); ; {
		since := first + seg.Speed.Film(seg.House.Rate.Duration(n))
		x := even(int(s.followed.At(since)*float64(p.Width)) - seg.Fit.Width/2)
		p.Keys = append(p.Keys, PanKey{n, min(max(x, 0), even(p.Width-seg.Fit.Width))})
		if n >= seg.Frames()-1 || seg.Hold > 0 {
			return p
		}
		n = min(n+max(seg.House.Rate.Ceil(seg.Speed.Shown(panStep)), 1), seg.Frames()-1)
	}
}

// Motion is what moves in a play on one angle, apart from the camera: at instants an equal
// Step apart from First on, counted from the snap, how much moves in each of Columns strips
// that the picture is parted into from left to right.
type Motion struct {
	First, Step tags.Time
	Columns     int
	Moves       [][]float32
	// Deep is the same of the lower part of the picture alone, into which a passer drops whom the camera
	// stands behind.
	Deep [][]float32
}

// Follow is the way of a window that follows the rush: its middle, 0 to 1 of the picture's width,
// at instants Step apart from First on, counted from the snap.
type Follow struct {
	First, Step tags.Time
	Middle      []float64
}

// How a window follows what moves: how far it may move in a second, in widths of the picture;
// what it costs to move across the whole picture, against what moves in one instant; and how
// much of it at each side is a margin in which what matters should not be.
const (
	followSpeed  = .25
	followCost   = 3
	followCentre = 1.5 // and to be off the middle, where cameras keep the ball
	followDeep   = 1   // what moves low in the picture, among which is the passer, beside all else
	followMargin = .12
	followSmooth = 7 * tags.Second / 10
)

// manStays is for how long after the snap a rusher is about as far to the side as he lined
// up: an edge rush goes up the field before it comes in.
const manStays = 3 * tags.Second / 2

// leastSeen and leastAtEnd are how much of what moves must be in the window, on the whole and
// in the last half second, for it to be trusted.
const leastSeen, leastAtEnd = .7, .5

// mostOff is how far from the middle of the window what moves low in the picture may be at the end,
// in widths of the picture, for the passer to be surely in the window.
const mostOff = .10

// Window returns the way of a window, width of the picture wide, that shows most of what moves and,
// where his place is known, the man at the snap. It is not ok where too much moves outside it.
func (m Motion) Window(width float64, man *float64) (f Follow, ok bool) {
	n := len(m.Moves)
	if n == 0 || m.Columns == 0 || width >= 1 {
		return f, false
	}
	wide := max(int(width*float64(m.Columns)+.5), 1)
	places := m.Columns - wide + 1
	margin := int(float64(wide) * followMargin)
	reach := max(int(followSpeed*m.Step.Seconds()*float64(m.Columns)+.5), 1)
	best := make([][]float64, n)
	from := make([][]int, n)
	for t := range n {
		best[t], from[t] = make([]float64, places), make([]int, places)
		for x := range places {
			off := (float64(x)+float64(wide)/2)/float64(m.Columns) - .5
			gain := m.share(t, x+margin, x+wide-margin) + followDeep*m.deepShare(t, x+2*margin, x+wide-2*margin)
			gain -= followCentre * off * off
			if man != nil && m.First+tags.Time(t)*m.Step <= manStays {
				at := *man * float64(m.Columns)
				if at < float64(x)+float64(wide)*.15 || at > float64(x)+float64(wide)*.85 {
					gain -= 10
				}
			}
			if t == 0 {
				best[t][x] = gain
				continue
			}
			most := math.Inf(-1)
			for before := max(x-reach, 0); before <= min(x+reach, places-1); before++ {
				if had := best[t-1][before] - followCost*math.Abs(float64(x-before))/float64(m.Columns); had > most {
					most, from[t][x] = had, before
				}
			}
			best[t][x] = most + gain
		}
	}
	at := 0
	for x, gain := range best[n-1] {
		if gain > best[n-1][at] {
			at = x
		}
	}
	middle := make([]float64, n)
	seen, moved := 0.0, 0.0
	for t := n - 1; t >= 0; t-- {
		middle[t] = (float64(at) + float64(wide)/2) / float64(m.Columns)
		whole := m.sum(t, 0, m.Columns)
		seen, moved = seen+m.sum(t, at, at+wide), moved+whole
		at = from[t][at]
	}
	last := 0.0
	whole := 0.0
	for t := max(n-6, 0); t < n; t++ {
		x := int(middle[t]*float64(m.Columns)) - wide/2
		last, whole = last+m.sum(t, max(x, 0), min(x+wide, m.Columns)), whole+m.sum(t, 0, m.Columns)
	}
	if moved == 0 || seen < leastSeen*moved || last < leastAtEnd*whole {
		return f, false
	}
	f = Follow{m.First, m.Step, smoothed(middle, int(followSmooth/m.Step))}
	return f, m.passerOff(f.Middle[n-1]) < mostOff
}

func (m Motion) sum(t, from, to int) float64 {
	var s float64
	for _, v := range m.Moves[t][from:to] {
		s += float64(v)
	}
	return s
}

// deepShare is the share of the low part's movement that the columns from up to to have at the
// three instants that end with t.
func (m Motion) deepShare(t, from, to int) float64 {
	return shareOf(m.Deep[min(max(t-2, 0), len(m.Deep)):min(t+1, len(m.Deep))], from, to)
}

// deepEnds returns the left and the right end, 0 to 1, of what moves low in the picture at the
// given instants: of the columns with at least a tenth of the movement of the strongest. It is not
// known where hardly anything moves.
func (m Motion) deepEnds(from, to int) (left, right float64, known bool) {
	const least, share = 10, .1
	columns := make([]float64, m.Columns)
	for _, row := range m.Deep[min(max(from, 0), len(m.Deep)):min(max(to, 0), len(m.Deep))] {
		for x, v := range row {
			columns[x] += float64(v)
		}
	}
	most := slices.Max(columns)
	for x, v := range columns {
		if v >= max(share*most, least) {
			right = (float64(x) + .5) / float64(m.Columns)
			if !known {
				left, known = right, true
			}
		}
	}
	return left, right, known
}

// passerOff is how far from a place what moves low in the picture, the passer among it, reaches at
// the end, or would reach if it went on as it came in the second before.
func (m Motion) passerOff(place float64) float64 {
	n := len(m.Deep)
	left, right, known := m.deepEnds(n-2, n)
	if !known {
		return 0
	}
	if l, r, known := m.deepEnds(n-10, n-2); known {
		left, right = min(left, left+left-l), max(right, right+right-r)
	}
	return max(math.Abs(left-place), math.Abs(right-place))
}

// share is how much of what moves at an instant does so in the columns from from to to.
func (m Motion) share(t, from, to int) float64 { return shareOf(m.Moves[t:t+1], from, to) }

// shareOf is how much of what moves in some rows does so in their columns from from to to.
func shareOf(rows [][]float32, from, to int) float64 {
	var in, whole float64
	for _, row := range rows {
		for x, v := range row {
			whole += float64(v)
			if x >= from && x < to {
				in += float64(v)
			}
		}
	}
	if whole == 0 {
		return 0
	}
	return in / whole
}

// smoothed is the mean of list over windows of about as many, twice over, so that what it
// tells of neither starts nor stops at once.
func smoothed(list []float64, window int) []float64 {
	for range 2 {
		out := make([]float64, len(list))
		for i := range list {
			from, to := max(i-window/2, 0), min(i+window/2+1, len(list))
			for _, v := range list[from:to] {
				out[i] += v / float64(to-from)
			}
		}
		list = out
	}
	return list
}

// At is the middle at a time since the snap.
func (f Follow) At(since tags.Time) float64 {
	at := float64(since-f.First) / float64(f.Step)
	i := int(math.Floor(at))
	switch {
	case i < 0:
		return f.Middle[0]
	case i >= len(f.Middle)-1:
		return f.Middle[len(f.Middle)-1]
	}
	part := at - float64(i)
	return f.Middle[i]*(1-part) + f.Middle[i+1]*part
}
