package watch

import (
	"math"
	"slices"

	"trenchcut/tags"
)

// Film is decoded to the size of a still, so that stills cost no second decoding. It is looked
// at in small, half that size: large enough that a man is a few pixels, small enough that
// sensor noise averages out. Breaks between shots are sought at half that size again.
const (
	smallWidth  = stillWidth / 2
	smallHeight = stillHeight / 2

	halfWidth  = smallWidth / 2
	halfHeight = smallHeight / 2
	halfPixels = halfWidth * halfHeight
)

// picture is one frame in small. Its colours have as many pixels as half its light.
type picture struct {
	light          [smallWidth * smallHeight]uint8
	half           [halfPixels]uint8 // light
	soft           [halfPixels]uint8 // half, blurred: it can be slid by parts of a pixel
	blue, red      [halfPixels]uint8 // colour differences
	mean, contrast float64           // of half
}

// set takes the planes of a still.
func (p *picture) set(planes []byte) {
	const light, colour = stillWidth * stillHeight, stillWidth * stillHeight / 4
	halve(p.light[:], planes[:light], smallWidth)
	halve(p.blue[:], planes[light:light+colour], halfWidth)
	halve(p.red[:], planes[light+colour:], halfWidth)
	halve(p.half[:], p.light[:], halfWidth)
	sum, squares := 0, 0
	for _, v := range p.half {
		sum += int(v)
		squares += int(v) * int(v)
	}
	p.soften()
	p.mean = float64(sum) / halfPixels
	p.contrast = math.Sqrt(math.Max(float64(squares)/halfPixels-p.mean*p.mean, 0))
}

// halve makes to, so many pixels wide, of a plane of twice its width and height.
func halve(to, from []uint8, width int) {
	for y := 0; y < len(to); y += width {
		upper := from[4*y:][:2*width]
		lower := from[4*y+2*width:][:2*width]
		for x, row := 0, to[y:][:width]; x < len(row); x++ {
			row[x] = uint8((int(upper[2*x]) + int(upper[2*x+1]) + int(lower[2*x]) + int(lower[2*x+1]) + 2) / 4)
		}
	}
}

// soften blurs half into soft, over three pixels each way.
func (p *picture) soften() {
	var across [halfPixels]int
	for y := range halfHeight {
		row, sums := p.half[y*halfWidth:][:halfWidth], across[y*halfWidth:][:halfWidth]
		for x := range row {
			sums[x] = int(row[max(x-1, 0)]) + 2*int(row[x]) + int(row[min(x+1, halfWidth-1)])
		}
	}
	for y := range halfHeight {
		above, at, below := max(y-1, 0)*halfWidth, y*halfWidth, min(y+1, halfHeight-1)*halfWidth
		for x := range halfWidth {
			p.soft[at+x] = uint8((across[above+x] + 2*across[at+x] + across[below+x] + 8) / 16)
		}
	}
}

// faint is a difference that coding makes by itself: pictures that a codec has blurred get
// their detail back all at once with the next that stands alone.
const faint = 6

// differs is how much two pictures differ, in steps of light, colours at half weight.
// Faint differences do not count.
func (p *picture) differs(q *picture) float64 {
	light := apart(p.half[:], q.half[:])
	colour := apart(p.blue[:], q.blue[:]) + apart(p.red[:], q.red[:])
	return (float64(light) + float64(colour)/2) / halfPixels
}

// apart is the sum of differences, as far as they are not faint.
func apart(a, b []uint8) int {
	sum := 0
	b = b[:len(a)]
	for i, v := range a {
		d := int(v) - int(b[i])
		sum += max(d, -d, faint) - faint
	}
	return sum
}

// differsInShape is differs, light alone, where one picture is not just brighter.
func (p *picture) differsInShape(q *picture) float64 {
	brighter := int(math.Round(q.mean - p.mean))
	sum := 0
	for i, v := range p.half {
		d := int(q.half[i]) - int(v) - brighter
		sum += max(d, -d)
	}
	return float64(sum) / halfPixels
}

// offAverage is how far p is from the average of a and b.
func (p *picture) offAverage(a, b *picture) float64 {
	sum := 0
	for i, v := range p.half {
		d := 2*int(v) - int(a.half[i]) - int(b.half[i])
		sum += max(d, -d)
	}
	return float64(sum) / (2 * halfPixels)
}

// offset is how far a picture's content lies right of and below another's.
type offset struct{ x, y int }

// How far the camera may turn between two frames compared, in pixels of half.
const (
	mostRight = 9
	mostDown  = 4
)

// pan is how the camera moved from p to q, in pixels of half.
func (p *picture) pan(q *picture) offset {
	best, least := offset{}, p.at(q, offset{}, math.Inf(1))
	for y := -mostDown; y <= mostDown; y++ {
		for x := -mostRight; x <= mostRight; x++ {
			// A little must be gained: pictures without a pattern fit anywhere.
			enough := least*0.97 - 0.05
			if d := p.at(q, offset{x, y}, enough); d < enough {
				best, least = offset{x, y}, d
			}
		}
	}
	return best
}

// at is the mean difference, on every second pixel of half each way, where q is taken to
// be p moved by o. One that is not under enough is not worked out: it is infinite.
func (p *picture) at(q *picture, o offset, enough float64) float64 {
	y0, y1 := max(0, -o.y), halfHeight+min(0, -o.y)
	x0, x1 := max(0, -o.x), halfWidth+min(0, -o.x)
	n := (y1 - y0 + 1) / 2 * ((x1 - x0 + 1) / 2)
	most := enough * float64(n)
	sum := 0
	for y := y0; y < y1; y += 2 {
		a := p.half[y*halfWidth+x0 : y*halfWidth+x1]
		b := q.half[(y+o.y)*halfWidth+x0+o.x:][:len(a)]
		for x := 0; x < len(a); x += 2 {
			d := int(a[x]) - int(b[x])
			sum += max(d, -d)
		}
		if float64(sum) >= most {
			return math.Inf(1)
		}
	}
	return float64(sum) / float64(n)
}

// stilled is differs once the camera's movement is taken out, to a fraction of a pixel.
func (p *picture) stilled(q *picture) float64 {
	o := p.pan(q)
	x, y := fixed*o.x, fixed*o.y
	least := p.slid(q, x, y, 2, math.Inf(1))
	for _, step := range []int{fixed / 2, fixed / 4} {
		for moved, turns := true, 0; moved && turns < 4; turns++ {
			moved = false
			for _, by := range [4]offset{{step, 0}, {-step, 0}, {0, step}, {0, -step}} {
				if d := p.slid(q, x+by.x, y+by.y, 2, least); d < least {
					x, y, least, moved = x+by.x, y+by.y, d, true
					break
				}
			}
		}
	}
	// Colours need no parts of a pixel: the field's lines have hardly any.
	o = offset{(x + fixed/2) >> 3, (y + fixed/2) >> 3}
	colour, n := 0, 0
	x0, x1 := max(0, -o.x), halfWidth+min(0, -o.x)
	for row := max(0, -o.y); row < halfHeight+min(0, -o.y); row++ {
		from, to := row*halfWidth+x0, (row+o.y)*halfWidth+x0+o.x
		colour += apart(p.blue[from:][:x1-x0], q.blue[to:][:x1-x0]) + apart(p.red[from:][:x1-x0], q.red[to:][:x1-x0])
		n += x1 - x0
	}
	return p.slid(q, x, y, 1, math.Inf(1)) + float64(colour)/2/float64(n)
}

// fixed is one pixel of half, where places are told to a fraction of one.
const fixed = 8

// slid is how much p and q differ, in steps of light but for faint ones, where q is taken
// to be p moved right by x and down by y, in parts of fixed; of every step-th pixel. A
// difference that is not under enough is not worked out: it is infinite.
func (p *picture) slid(q *picture, x, y, step int, enough float64) float64 {
	ox, fx := x>>3, x&(fixed-1)
	oy, fy := y>>3, y&(fixed-1)
	x0, x1 := max(0, -ox), min(halfWidth, halfWidth-1-ox)
	y0, y1 := max(0, -oy), min(halfHeight, halfHeight-1-oy)
	n := (y1 - y0 + step - 1) / step * ((x1 - x0 + step - 1) / step)
	most := enough * float64(n)
	sum := 0
	for row := y0; row < y1; row += step {
		upper := q.soft[(row+oy)*halfWidth:][:halfWidth]
		lower := q.soft[(row+oy+1)*halfWidth:][:halfWidth]
		own := p.soft[row*halfWidth:][:halfWidth]
		for col := x0; col < x1; col += step {
			at := col + ox
			above := int(upper[at])*(fixed-fx) + int(upper[at+1])*fx
			below := int(lower[at])*(fixed-fx) + int(lower[at+1])*fx
			d := int(own[col]) - (above*(fixed-fy)+below*fy+fixed*fixed/2)/(fixed*fixed)
			sum += max(d, -d, faint/2) - faint/2
		}
		if float64(sum) >= most {
			return math.Inf(1)
		}
	}
	return float64(sum) / float64(max(n, 1))
}

// moved is how much moves from p to q but for the camera, in steps of light over the
// whole picture. Differences that noise makes do not count.
func moved(p, q *picture) float64 {
	const noise = 4
	coarse := p.pan(q)
	best := offset{2 * coarse.x, 2 * coarse.y}
	least := p.apartAt(q, best, 2, 0)
	for y := -1; y <= 1; y++ {
		for x := -1; x <= 1; x++ {
			o := offset{2*coarse.x + x, 2*coarse.y + y}
			if d := p.apartAt(q, o, 2, 0); d < least {
				best, least = o, d
			}
		}
	}
	return p.apartAt(q, best, 1, noise)
}

// apartAt is the mean difference in light, as far as it is more than noise, of every
// step-th pixel each way, where q is taken to be p moved by o.
func (p *picture) apartAt(q *picture, o offset, step, noise int) float64 {
	sum, n := 0, 0
	for y := max(0, -o.y); y < smallHeight+min(0, -o.y); y += step {
		x0, x1 := max(0, -o.x), smallWidth+min(0, -o.x)
		a := p.light[y*smallWidth+x0 : y*smallWidth+x1]
		b := q.light[(y+o.y)*smallWidth+x0+o.x:][:len(a)]
		for x := 0; x < len(a); x += step {
			d := int(a[x]) - int(b[x])
			sum += max(d, -d, noise) - noise
		}
		n += (len(a) + step - 1) / step
	}
	return float64(sum) / float64(n)
}

// lookEvery is how often a frame is looked at for what it shows.
const lookEvery = tags.Second / 2

// look is what a frame shows, as far as can be told: its colours and which way its lines run.
type look struct {
	At       tags.Frame
	Contrast float64
	Upright  float64 // share of its edges that stand upright, 0 to 1
	Colours  [huesAcross * huesAcross]uint16
}

// Colours are counted in squares of hueStep around grey.
const (
	huesAcross = 16
	hueStep    = 8
)

func hue(blue, red uint8) int {
	square := func(v uint8) int { return min(max(int(v)/hueStep-128/hueStep+huesAcross/2, 0), huesAcross-1) }
	return square(blue)*huesAcross + square(red)
}

func (p *picture) look(n tags.Frame) look {
	l := look{At: n, Contrast: p.contrast}
	for i := range p.blue {
		l.Colours[hue(p.blue[i], p.red[i])]++
	}
	const edge = 6
	upright, level := 0, 0
	for y := 1; y < smallHeight-1; y++ {
		for x := 1; x < smallWidth-1; x++ {
			at := y*smallWidth + x
			right := int(p.light[at+1]) - int(p.light[at-1])
			down := int(p.light[at+smallWidth]) - int(p.light[at-smallWidth])
			right, down = max(right, -right), max(down, -down)
			if right+down >= edge {
				upright += right
				level += down
			}
		}
	}
	l.Upright = 0.5
	if upright+level > 0 {
		l.Upright = float64(upright) / float64(upright+level)
	}
	return l
}

// median sorts values and returns the middle one; 0 of none.
func median(values []float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	return values[len(values)/2]
}
