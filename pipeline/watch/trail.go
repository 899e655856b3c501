package watch

import (
	"context"
	"math"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// How a play is looked at to follow it: every so much of a second, against the picture so many
// looks before; in so many columns; and how strong the light of a place must change to count.
const (
	trailStep    = tags.Second / 10
	trailBack    = 2
	trailColumns = 64
	trailLeast   = 14
	trailDeep    = 68 // from how far down the picture on the passer drops, in hundredths
	trailShift   = 4  // how far the camera may have moved, in small pixels
)

// Trail adds up what moves in the small pictures of a play.
type Trail struct {
	last  [][]byte // the pictures before, the latest last
	moves [][]float32
	deep  [][]float32
}

// See takes the light of the next picture, 128 by 72, a tenth of a second after the last.
func (t *Trail) See(luma []byte) {
	now := append([]byte(nil), luma[:smallWidth*smallHeight]...)
	columns, deep := make([]float32, trailColumns), make([]float32, trailColumns)
	if len(t.last) >= trailBack {
		before := t.last[len(t.last)-trailBack]
		dx, dy := shift(before, now)
		for y := trailShift; y < smallHeight-trailShift; y++ {
			weight := float32(inTrench(float64(y) / smallHeight))
			for x := trailShift; x < smallWidth-trailShift; x++ {
				d := int(now[y*smallWidth+x]) - int(before[(y+dy)*smallWidth+x+dx])
				if d < 0 {
					d = -d
				}
				if d > trailLeast {
					columns[x*trailColumns/smallWidth] += weight * float32(min(d, 60))
					if y >= smallHeight*trailDeep/100 {
						deep[x*trailColumns/smallWidth] += float32(min(d, 60))
					}
				}
			}
		}
	}
	t.moves, t.deep = append(t.moves, columns), append(t.deep, deep)
	t.last = append(t.last, now)
	if len(t.last) > trailBack {
		t.last = t.last[1:]
	}
}

// Motion is what was seen, where the first picture is so long after the snap.
func (t *Trail) Motion(first tags.Time) plan.Motion {
	return plan.Motion{First: first, Step: trailStep, Columns: trailColumns, Moves: t.moves, Deep: t.deep}
}

// inTrench weighs movement by its height in the picture, 0 to 1: cameras keep the rush in the
// middle, and receivers leave at the edges.
func inTrench(y float64) float64 { return math.Exp(-(y - .56) * (y - .56) / (2 * .17 * .17)) }

// shift returns by how much the picture moved from before to now: the shift that leaves the least
// difference.
func shift(before, now []byte) (dx, dy int) {
	best := math.MaxInt
	for y := -trailShift; y <= trailShift; y++ {
		for x := -trailShift; x <= trailShift; x++ {
			sum := 0
			for row := trailShift; row < smallHeight-trailShift; row += 3 {
				for column := trailShift; column < smallWidth-trailShift; column += 3 {
					d := int(now[row*smallWidth+column]) - int(before[(row+y)*smallWidth+column+x])
					if d < 0 {
						d = -d
					}
					sum += min(d, 40)
				}
			}
			if still := (x*x + y*y) * 8; sum+still < best { // of what fits alike, the least
				best, dx, dy = sum+still, x, y
			}
		}
	}
	return dx, dy
}

// Motion looks at the frames of span, a play of the film at path whose snap is at frame snap,
// and tells what moves where.
func Motion(ctx context.Context, library *film.Library, path string, span tags.Span, snap tags.Frame) (plan.Motion, error) {
	src, err := library.Source(ctx, path)
	if err != nil {
		return plan.Motion{}, err
	}
	var t Trail
	next := tags.Time(0)
	err = library.Pictures(ctx, path, span, smallWidth, smallHeight, func(n tags.Frame, planes []byte) {
		if src.Rate.Duration(n-span.In) >= next {
			t.See(planes)
			next += trailStep
		}
	})
	return t.Motion(src.Rate.Duration(span.In - snap)), err
}
