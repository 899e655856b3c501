package demo

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// How much is tracked: so many invented games whole, 0 being a few plays of one; from which game on, of
// those that no threshold was set on; and in which film alone.
var (
	trackGames = flag.Int("trackgames", 0, "invented games whose rushers are tracked")
	trackFrom  = flag.Int("trackfrom", 30_000, "the first of those games")
	trackIn    = flag.String("trackin", "", "in which film alone, such as noisy")
)

// A rusher who is followed from where he is marked at the snap is the man himself, held to where the
// men are of whom the film is drawn: in fair film and in ugly film, of games on which no threshold was
// set. Most are followed before the snap, and about until somebody meets them.
func TestTrackedIsHim(t *testing.T) {
	games, plays := *trackGames, math.MaxInt
	if games == 0 {
		games, plays = 1, 3
	}
	films := inventedFilms(t, *trackFrom, games)
	for _, u := range uglies {
		if *trackIn != "" && *trackIn != u.name {
			continue
		}
		t.Run(u.name, func(t *testing.T) {
			var sum tracked
			for i, f := range films {
				sum.film(t, f, plays, u, uint64(i))
			}
			t.Logf("%d men, %d to the end: of %d pictures before the snap %d were followed, of %d from it on %d; wrong %d",
				sum.men, sum.whole, sum.before, sum.followedBefore, sum.after, sum.followed, sum.wrong)
			if sum.wrong*1000 > sum.followed {
				t.Errorf("the ring is on nobody or another in %d pictures of %d", sum.wrong, sum.followedBefore+sum.followed)
			}
			if sum.followedBefore*2 < sum.before || sum.followed*25 < sum.after {
				t.Errorf("followed in %d pictures of %d before the snap and %d of %d from it on", sum.followedBefore, sum.before, sum.followed, sum.after)
			}
		})
	}
}

// tracked counts pictures of plays.
type tracked struct{ men, whole, before, after, followedBefore, followed, wrong int }

// film tracks the first rusher of the plays of a film.
func (sum *tracked) film(t *testing.T, f *film, plays int, u ugly, seed uint64) {
	small := *f
	small.width, small.height = watch.TrackWidth, watch.TrackHeight
	p := newPainter(&small)
	for i, s := range small.shots {
		if s.tagged == 0 || !s.view.Snaps || plays == 0 || s.hidden() {
			continue
		}
		plays--
		sum.men++
		c := small.camera(s)
		man := func(since float64) (at tags.Point, wide float64) {
			x, y, scale := c.project(s.spot.add(s.pairs[0].rusher(s.slowed(since))).up(.3))
			return tags.Point{X: x, Y: y}, 2 * radius * scale
		}
		p.open(i)
		spoil := u.start(rand.New(rand.NewPCG(seed, uint64(i))))
		picture := func(n int) (planes []byte, dx, dy int) {
			p.frame(small.rate.FrameAt(s.view.Snap) + tags.Frame(n))
			return spoil(p.planes)
		}
		const before = 45
		end := int(s.finish * small.rate.FPS())
		var off []tags.Point
		var pictures [][]byte
		for n := -before; n < 0; n++ {
			planes, dx, dy := picture(n)
			pictures = append(pictures, slices.Clone(planes))
			off = append(off, tags.Point{X: float64(dx), Y: float64(dy)})
		}
		planes, dx, dy := picture(0)
		off = append(off, tags.Point{X: float64(dx), Y: float64(dy)})
		at, _ := man(0)
		hundredths := func(v float64, of int) float64 { return math.Round(v/float64(of)*100) / 100 } // as it is marked
		track := watch.NewTrack(tags.Point{X: hundredths(at.X+float64(dx), watch.TrackWidth), Y: hundredths(at.Y+float64(dy), watch.TrackHeight)})
		for _, b := range pictures {
			track.Before(b)
		}
		sure := track.From(planes)
		for n := 1; n < end && sure; n++ {
			planes, dx, dy := picture(n)
			off = append(off, tags.Point{X: float64(dx), Y: float64(dy)})
			sure = track.From(planes)
		}
		if sure {
			sum.whole++
		}
		sum.before, sum.after = sum.before+before, sum.after+end
		way := track.Way(0, 1)
		wrong := sum.wrong
		for n := way.First; len(way.Places) > 0 && n <= way.Last(); n++ {
			if n < 0 {
				sum.followedBefore++
			} else {
				sum.followed++
			}
			at, wide := man(float64(n) / small.rate.FPS())
			ring, moved := way.At(n), off[n+before]
			if math.Hypot(ring.X*watch.TrackWidth-at.X-moved.X, ring.Y*watch.TrackHeight-at.Y-moved.Y) > wide {
				if sum.wrong++; sum.wrong == wrong+1 {
					t.Logf("film %d, play %d, %s: off from frame %d of the snap on, followed until %d", seed, s.play.Number, f.angle, n, way.Last())
				}
			}
		}
	}
}

// hidden reports whether another stands where the first rusher does at the snap, as men on film cannot,
// so that either may be meant.
func (s shot) hidden() bool {
	at, near := s.pairs[0].rusher(0), 0
	for _, m := range s.men {
		if m.at(0).sub(at).length() < radius {
			near++
		}
	}
	return near > 1
}

// ugly is a way to spoil the pictures of a play. Started, it returns a function that spoils one after
// the other and tells by how many pixels it moved each.
type ugly struct {
	name  string
	start func(*rand.Rand) func(planes []byte) (spoiled []byte, dx, dy int)
}

var uglies = []ugly{
	{"fair", func(*rand.Rand) func([]byte) ([]byte, int, int) {
		return func(planes []byte) ([]byte, int, int) { return planes, 0, 0 }
	}},
	{"noisy", func(rng *rand.Rand) func([]byte) ([]byte, int, int) {
		return func(planes []byte) ([]byte, int, int) {
			out := make([]byte, len(planes))
			for i, v := range planes {
				out[i] = uint8(min(max(float64(v)+14*rng.NormFloat64(), 0), 255))
			}
			return out, 0, 0
		}
	}},
	{"shaken", func(rng *rand.Rand) func([]byte) ([]byte, int, int) {
		return func(planes []byte) ([]byte, int, int) {
			return moved(planes, 2*int(2*rng.NormFloat64()), 2*int(1.5*rng.NormFloat64()))
		}
	}},
	{"panned", func(rng *rand.Rand) func([]byte) ([]byte, int, int) {
		n, phase := 0.0, 6*rng.Float64()
		return func(planes []byte) ([]byte, int, int) {
			n++
			return moved(planes, 2*int(20*math.Sin(phase+n/25)), 2*int(5*math.Sin(phase+n/17)))
		}
	}},
	{"grey and coarse", func(*rand.Rand) func([]byte) ([]byte, int, int) {
		return func(planes []byte) ([]byte, int, int) { return coarse(planes), 0, 0 }
	}},
}

// moved is a picture moved by even numbers of pixels, as by the camera.
func moved(planes []byte, dx, dy int) ([]byte, int, int) {
	const w, h = watch.TrackWidth, watch.TrackHeight
	out := make([]byte, len(planes))
	plane := func(at, w, h, dx, dy int) {
		for y := range h {
			for x := range w {
				out[at+y*w+x] = planes[at+min(max(y-dy, 0), h-1)*w+min(max(x-dx, 0), w-1)]
			}
		}
	}
	plane(0, w, h, dx, dy)
	plane(w*h, w/2, h/2, dx/2, dy/2)
	plane(w*h*5/4, w/2, h/2, dx/2, dy/2)
	return out, dx, dy
}

// coarse is a picture without colours, in squares of 4 pixels and steps of 24, as film of few bits is.
func coarse(planes []byte) []byte {
	const w, h = watch.TrackWidth, watch.TrackHeight
	out := slices.Clone(planes)
	for y := 0; y < h; y += 4 {
		for x := 0; x < w; x += 4 {
			sum := 0
			for i := range 16 {
				sum += int(planes[(y+i/4)*w+x+i%4])
			}
			for i := range 16 {
				out[(y+i/4)*w+x+i%4] = uint8((sum/16*2 + 24) / 48 * 24)
			}
		}
	}
	for i := w * h; i < len(out); i++ {
		out[i] = 128
	}
	return out
}
