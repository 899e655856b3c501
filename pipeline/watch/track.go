package watch

import (
	"math"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// The size of the pictures in which a man is tracked, whatever the film's: four times that in
// which the camera's own movement is found.
const (
	TrackWidth  = trackScale * smallWidth
	TrackHeight = trackScale * smallHeight
	trackScale  = 4
)

// How a man is looked for, in pixels of those pictures. A patch is what is around him, about as
// wide as a lineman.
const (
	patchReach = 11 // from the middle of a patch to its sides
	trackReach = 10 // how far from where he is awaited he may be
	rivalReach = 26 // how near another must be to be taken for him
	rivalApart = 9  // what is nearer than this to him is himself
	backReach  = 12 // how far from where he was he is looked for when looking back
	backAfter  = 8  // pictures between then and now, at most
)

// What is seen must be like this to be surely him. The figures were chosen on invented games, in fair
// and in ugly film, and measured on others: TestTrackedIsHim of package demo.
const (
	leastLate  = .70 // how alike he is to what he was lately
	leastFirst = .65 // and to what he was at the start
	leastClear = .22 // how much more alike he is than whatever else is near
	mostDrop   = .12 // how much less alike to what he was at the start than backAfter pictures ago
	mostBack   = 4   // pixels off, when from where he is now one looks for where he was
	// Of a man who stands still and changes hardly.
	stillLate, stillFirst, stillStep = .88, .75, 1.5
	// The last pictures before he is lost are the least sure, and are not counted.
	lostLast = 3
)

// scaled is by how much the pixels of a patch are multiplied, so that patches can be mixed.
const scaled = 16

// patch is a square of a picture: light, and two colours of half as many pixels a side.
type patch struct {
	light   [lightSide * lightSide]int32
	colours [2][colourSide * colourSide]int32
}

// The sides of a patch among the pixels of light and of a colour.
const (
	colourReach = patchReach / 2
	colourSide  = 2*colourReach + 1
	lightSide   = 2*patchReach + 1
)

// The middle of a patch counts for more than its edges, which show the ground.
var lightWeights, colourWeights = weights(patchReach, 6.5), weights(colourReach, 3.25)

func weights(reach int, wide float64) []int64 {
	side := 2*reach + 1
	w := make([]int64, side*side)
	for i := range w {
		x, y := float64(i%side-reach), float64(i/side-reach)
		w[i] = int64(math.Round(16 * math.Exp(-(x*x+y*y)/(2*wide*wide))))
	}
	return w
}

// planes420 is a picture of TrackWidth by TrackHeight, planar 4:2:0.
type planes420 []byte

func (p planes420) light() []byte { return p[:TrackWidth*TrackHeight] }

func (p planes420) colour(i int) []byte {
	const whole = TrackWidth * TrackHeight
	return p[whole+i*whole/4:][:whole/4]
}

type pixel struct{ x, y int }

func (p pixel) away(q pixel) float64 { return math.Hypot(float64(p.x-q.x), float64(p.y-q.y)) }

// inside reports whether a patch around p is within the picture.
func (p pixel) inside() bool {
	return p.x >= patchReach && p.y >= patchReach && p.x < TrackWidth-patchReach && p.y < TrackHeight-patchReach
}

// patch is what is around a place that is inside.
func (p planes420) patch(at pixel) (c patch) {
	crop(c.light[:], p.light(), TrackWidth, at, patchReach)
	for i := range c.colours {
		crop(c.colours[i][:], p.colour(i), TrackWidth/2, pixel{at.x / 2, at.y / 2}, colourReach)
	}
	return c
}

func crop(into []int32, plane []byte, width int, at pixel, reach int) {
	i := 0
	for y := at.y - reach; y <= at.y+reach; y++ {
		for _, v := range plane[y*width+at.x-reach:][:2*reach+1] {
			into[i] = scaled * int32(v)
			i++
		}
	}
}

// mix moves c toward d, by a part of an eighth.
func (c *patch) mix(d *patch) {
	for i := range c.light {
		c.light[i] += (d.light[i] - c.light[i]) / 8
	}
	for k := range c.colours {
		for i := range c.colours[k] {
			c.colours[k][i] += (d.colours[k][i] - c.colours[k][i]) / 8
		}
	}
}

// wanted is a patch made ready to be looked for.
type wanted struct {
	light   wantedPlane
	colours [2]wantedPlane
	spread  int64
}

// wantedPlane is one plane of it: its pixels times their weights, and the sum of those.
type wantedPlane struct {
	weights, weighted []int64
	weight, sum       int64
}

func (c *patch) wanted() *wanted {
	var w wanted
	ready := func(plane []int32, weights []int64) wantedPlane {
		p := wantedPlane{weights: weights, weighted: make([]int64, len(plane))}
		var squares int64
		for i, v := range plane {
			p.weight += weights[i]
			p.weighted[i] = weights[i] * int64(v)
			p.sum += p.weighted[i]
			squares += p.weighted[i] * int64(v)
		}
		w.spread += squares - p.sum*p.sum/p.weight
		return p
	}
	w.light = ready(c.light[:], lightWeights)
	w.spread /= lightPart
	for i := range c.colours {
		w.colours[i] = ready(c.colours[i][:], colourWeights)
	}
	return &w
}

// lightPart is by how much light counts for less than colours, of which there are a quarter as
// many pixels and less difference.
const lightPart = 16

// with adds up how w and the plane go together around a place, and how the plane spreads.
func (w *wantedPlane) with(plane []byte, width int, at pixel, reach int) (both, spread int64) {
	var sum, squares, products int64
	side := 2*reach + 1
	for row := range side {
		line := plane[(at.y+row-reach)*width+at.x-reach:][:side]
		weights, weighted := w.weights[row*side:][:side], w.weighted[row*side:][:side]
		for i, v := range line {
			value := int64(v)
			by := weights[i] * value
			sum += by
			squares += by * value
			products += weighted[i] * value
		}
	}
	return products - w.sum*sum/w.weight, squares - sum*sum/w.weight
}

// alike is the correlation, from -1 to 1, of w with what p shows around at, which is inside.
// Brightness does not matter.
func (w *wanted) alike(p planes420, at pixel) float64 {
	both, spread := w.light.with(p.light(), TrackWidth, at, patchReach)
	both, spread = both/lightPart, spread/lightPart
	for i := range w.colours {
		b, s := w.colours[i].with(p.colour(i), TrackWidth/2, pixel{at.x / 2, at.y / 2}, colourReach)
		both, spread = both+b, spread+s
	}
	if w.spread <= 0 || spread <= 0 {
		return 0
	}
	return float64(both) / math.Sqrt(float64(w.spread)*float64(spread))
}

// find is the place within reach of at that is most like w, and how alike it is.
func (w *wanted) find(p planes420, at pixel, reach int) (best pixel, most float64) {
	most = -1
	look := func(around pixel, reach, step int) {
		for y := around.y - reach; y <= around.y+reach; y += step {
			for x := around.x - reach; x <= around.x+reach; x += step {
				if q := (pixel{x, y}); q.inside() {
					if a := w.alike(p, q); a > most {
						best, most = q, a
					}
				}
			}
		}
	}
	look(at, reach, 2)
	if most > -1 {
		look(best, 1, 1)
	}
	return best, most
}

// rival is how alike w is to the most similar other place near at.
func (w *wanted) rival(p planes420, at pixel) float64 {
	most := -1.0
	for y := at.y - rivalReach; y <= at.y+rivalReach; y += 3 {
		for x := at.x - rivalReach; x <= at.x+rivalReach; x += 3 {
			if q := (pixel{x, y}); q.inside() && at.away(q) >= rivalApart && at.away(q) <= rivalReach {
				most = max(most, w.alike(p, q))
			}
		}
	}
	return most
}

// softened is a copy of p whose planes are averaged over small squares, because a man between two
// pixels is drawn otherwise than on one.
func softened(p []byte) planes420 {
	out := make(planes420, len(p))
	soft := planes420(p)
	soften(out.light(), soft.light(), TrackWidth, softLight)
	for i := range 2 {
		soften(out.colour(i), soft.colour(i), TrackWidth/2, softColour)
	}
	return out
}

const softLight, softColour = 2, 1

// soften averages in over squares that reach so far to each side. The edges of the picture stay 0.
func soften(out, in []byte, width, reach int) {
	height, side := len(in)/width, 2*reach+1
	columns := make([]int, width) // the sums of the rows of the square
	for y := range height {
		for x, v := range in[y*width:][:width] {
			columns[x] += int(v)
			if y >= side {
				columns[x] -= int(in[(y-side)*width+x])
			}
		}
		if y < side-1 {
			continue
		}
		sum := 0
		for x, c := range columns {
			sum += c
			if x >= side {
				sum -= columns[x-side]
			}
			if x >= side-1 {
				out[(y-reach)*width+x-reach] = byte(sum / (side * side))
			}
		}
	}
}

// smaller is the light of p, averaged over squares.
func (p planes420) smaller() []byte {
	out := make([]byte, smallWidth*smallHeight)
	for y := range smallHeight {
		for x := range smallWidth {
			var sum int
			for v := range trackScale {
				for _, l := range p[(y*trackScale+v)*TrackWidth+x*trackScale:][:trackScale] {
					sum += int(l)
				}
			}
			out[y*smallWidth+x] = byte(sum / (trackScale * trackScale))
		}
	}
	return out
}

// sight is where the man is in a picture.
type sight struct {
	at      pixel
	picture planes420
	first   float64 // how alike he is to what he was at the start; 0 at the start itself
}

// tracker follows one man from picture to picture, in either direction of time.
type tracker struct {
	first  *wanted // what he was at the start
	late   patch   // and lately
	small  []byte  // the last picture, small
	seen   []sight // the last ones
	vx, vy float64 // how he moves from picture to picture, apart from the camera
	lost   bool
}

func newTracker(p planes420, at pixel) *tracker {
	c := p.patch(at)
	return &tracker{first: c.wanted(), late: c, small: p.smaller(), seen: []sight{{at: at, picture: p}}}
}

// next looks for the man in the next picture. It is false from where it is not sure to see him.
func (t *tracker) next(p planes420) (at pixel, sure bool) {
	if t.lost {
		return at, false
	}
	small := p.smaller()
	dx, dy := shift(t.small, small)
	last := t.seen[len(t.seen)-1].at
	still := pixel{last.x - dx*trackScale, last.y - dy*trackScale}
	late := t.late.wanted()
	at, alike := late.find(p, pixel{still.x + int(math.Round(t.vx)), still.y + int(math.Round(t.vy))}, trackReach)
	first := -1.0
	if alike >= leastLate {
		first = t.first.alike(p, at)
	}
	// Beside a teammate he is known where he hardly moves or changes.
	stands := at.away(still) <= stillStep && alike >= stillLate && first >= stillFirst
	t.lost = first < leastFirst || first < t.seen[0].first-mostDrop || !stands && alike-late.rival(p, at) < leastClear || !t.cameFrom(p, at)
	if t.lost {
		return at, false
	}
	c := p.patch(at)
	t.late.mix(&c)
	t.vx += .3 * (float64(at.x-still.x) - t.vx)
	t.vy += .3 * (float64(at.y-still.y) - t.vy)
	t.small = small
	t.seen = append(t.seen, sight{at, p, first})
	t.seen = t.seen[max(len(t.seen)-backAfter, 0):]
	return at, true
}

// cameFrom reports whether what is at a place, looked for where the man was, is found there.
func (t *tracker) cameFrom(p planes420, at pixel) bool {
	if len(t.seen) < backAfter {
		return true
	}
	c := p.patch(at)
	was, _ := c.wanted().find(t.seen[0].picture, t.seen[0].at, backReach)
	return was.away(t.seen[0].at) <= mostBack
}

// Track follows a man through the pictures of a play, from the snap on and from the snap back.
type Track struct {
	at      tags.Point // where he is marked
	before  []planes420
	forward *tracker
	places  []pixel // from the snap on
	back    []pixel // from the snap back
	gone    bool    // he was lost after the snap
}

// NewTrack is for a man who is marked at a place, 0 to 1 of the picture, at the snap.
func NewTrack(at tags.Point) *Track { return &Track{at: at} }

func (t *Track) start() pixel { return pixel{int(t.at.X * TrackWidth), int(t.at.Y * TrackHeight)} }

// Before takes the planes of the next picture before the snap.
func (t *Track) Before(planes []byte) { t.before = append(t.before, softened(planes)) }

// From takes the planes of the picture at the snap and then of those after it. It is false from where
// he is out of sight, when pictures tell no more.
func (t *Track) From(planes []byte) (sure bool) {
	if !t.start().inside() {
		return false
	}
	p := softened(planes)
	if t.forward != nil {
		at, sure := t.forward.next(p)
		if sure {
			t.places = append(t.places, at)
		} else if !t.gone {
			t.gone, t.places = true, t.places[:max(len(t.places)-lostLast, 1)]
		}
		return sure
	}
	t.forward = newTracker(p, t.start())
	t.places = []pixel{t.start()}
	back := newTracker(p, t.start())
	for _, p := range slices.Backward(t.before) {
		at, sure := back.next(p)
		if !sure {
			t.back = t.back[:max(len(t.back)-lostLast, 0)]
			break
		}
		t.back = append(t.back, at)
	}
	t.before = nil
	return true
}

// Way is where he was surely seen, where the picture at the snap is frame snap of the film and step
// frames lie from one picture to the next.
func (t *Track) Way(snap, step tags.Frame) plan.Way {
	all := slices.Clone(t.back)
	slices.Reverse(all)
	all = append(all, t.places...)
	w := plan.Way{First: snap - step*tags.Frame(len(t.back)), Step: step}
	start := t.start()
	for i := range all {
		// Whole pixels are too coarse for a ring to go by: so the mean of those around.
		near := min(i, len(all)-1-i, trackSmooth)
		var x, y float64
		for _, p := range all[i-near : i+near+1] {
			x, y = x+float64(p.x-start.x), y+float64(p.y-start.y)
		}
		n := float64(2*near + 1)
		w.Places = append(w.Places, tags.Point{X: t.at.X + x/n/TrackWidth, Y: t.at.Y + y/n/TrackHeight})
	}
	return w
}

// trackSmooth is over how many places on either side a way is averaged.
const trackSmooth = 2
