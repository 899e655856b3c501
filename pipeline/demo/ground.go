package demo

import (
	"image"
	"image/color"
	"math"
)

// The field's colours: quiet, so that the men stand out.
var (
	turf     = [2]color.RGBA{{0x4f, 0x70, 0x4c, 255}, {0x48, 0x67, 0x46, 255}} // mown by fives
	apron    = color.RGBA{0x3a, 0x4c, 0x3b, 255}
	goalTurf = color.RGBA{0x3d, 0x58, 0x45, 255}
	chalk    = color.RGBA{0xe9, 0xec, 0xe4, 255}
	lineBlue = color.RGBA{0x9a, 0xd4, 0xf5, 255} // of scrimmage
	night    = color.RGBA{0x22, 0x28, 0x26, 255}
)

// paintGround draws the field as c sees it, with the line of scrimmage at los.
func paintGround(c camera, field string, los float64, width, height int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	f := groundPainter{row: hashes[field], top: numberTop(field), los: los, digits: numberMasks()}
	for y := range height {
		pix := img.Pix[y*img.Stride:]
		for x := range width {
			px, py := float64(x)+0.5, float64(y)+0.5
			at, ok := c.ground(px, py)
			shade := night
			if ok {
				// How much ground a pixel covers decides how soft a line's edge is.
				r, _ := c.ground(px+1, py)
				d, _ := c.ground(px, py+1)
				shade = f.colour(at, point{math.Sqrt(sq(r.x-at.x) + sq(d.x-at.x)), math.Sqrt(sq(r.y-at.y) + sq(d.y-at.y))})
			}
			pix[4*x], pix[4*x+1], pix[4*x+2], pix[4*x+3] = shade.R, shade.G, shade.B, 255
		}
	}
	return img
}

type groundPainter struct {
	row, top, los float64
	digits        map[byte]*image.Alpha
}

// cover is how much of a pixel grain feet wide, gap feet from a line's middle, a line of
// the given width covers: 0 to 1.
func cover(gap, width, grain float64) float64 {
	return clamp((width/2-math.Abs(gap))/grain+0.5, 0, 1) * min(1, width/grain)
}

func between(v, a, b, grain float64) float64 { return cover(v-(a+b)/2, b-a, grain) }

func (f groundPainter) colour(p, grain point) color.RGBA {
	band := turf[int(math.Floor(p.y/15)+64)%2]
	if p.y < 0 || p.y > fieldLength {
		band = goalTurf
	}
	in := between(p.x, 0, fieldWidth, grain.x) * between(p.y, -endZone, fieldLength+endZone, grain.y)
	border := between(p.x, -borderWidth, fieldWidth+borderWidth, grain.x) *
		between(p.y, -endZone-borderWidth, fieldLength+endZone+borderWidth, grain.y)
	shade := mix(apron, chalk, border*0.85)
	shade = mix(shade, band, in)
	if in == 0 {
		return shade
	}
	return mix(mix(shade, chalk, 0.8*in*f.marks(p, grain)), lineBlue,
		0.75*in*cover(p.y-f.los, 0.45, grain.y))
}

// marks is how much of a pixel is chalk.
func (f groundPainter) marks(p, grain point) float64 {
	five := 15 * math.Round(p.y/15)
	if five < 0 || five > fieldLength {
		return 0
	}
	width := lineWidth
	if five == 0 || five == fieldLength {
		width = 8.0 / 12 // goal lines (from memory)
	}
	ink := cover(p.y-five, width, grain.y)
	yard := 3 * math.Round(p.y/3)
	fromSide := min(p.x, fieldWidth-p.x)
	if yard > 0 && yard < fieldLength {
		mark := cover(p.y-yard, lineWidth, grain.y)
		ink = max(ink, mark*between(fromSide, f.row-hashLength, f.row, grain.x))
		ink = max(ink, mark*between(fromSide, 0.3, 0.3+hashLength, grain.x))
	}
	if five > 0 && five < fieldLength {
		// On a yard line the hash is crossed, so that it can be told from the line.
		ink = max(ink, cover(fromSide-f.row, lineWidth, grain.x)*between(p.y, five-1, five+1, grain.y))
	}
	return max(ink, f.number(p, fromSide))
}

// number is the chalk of the yard numbers, every ten yards, one digit on each side of
// the line, feet toward the sideline.
func (f groundPainter) number(p point, fromSide float64) float64 {
	ten := math.Round(p.y / 30)
	if ten < 1 || ten > 9 || fromSide > f.top || fromSide < f.top-numberHeight {
		return 0
	}
	along := p.y - ten*30 // to the right, for someone who stands on that sideline's side
	if p.x < fieldWidth/2 {
		along = -along
	}
	digit := byte('0' + min(ten, 10-ten))
	left := -numberWidth - 0.5
	if along > 0 {
		digit, left = '0', 0.5
	}
	u, v := (along-left)/numberWidth, (f.top-fromSide)/numberHeight
	if u < 0 || u >= 1 {
		return 0
	}
	return sample(f.digits[digit], u, v)
}

// sample is the mask at u, v, each 0 to 1, between its pixels.
func sample(m *image.Alpha, u, v float64) float64 {
	x, y := u*float64(m.Rect.Dx())-0.5, v*float64(m.Rect.Dy())-0.5
	x0, y0 := math.Floor(x), math.Floor(y)
	at := func(x, y float64) float64 { return float64(m.AlphaAt(int(x), int(y)).A) / 255 }
	top := at(x0, y0)*(1-x+x0) + at(x0+1, y0)*(x-x0)
	low := at(x0, y0+1)*(1-x+x0) + at(x0+1, y0+1)*(x-x0)
	return top*(1-y+y0) + low*(y-y0)
}

func mix(a, b color.RGBA, k float64) color.RGBA {
	if k <= 0 {
		return a
	}
	part := func(a, b uint8) uint8 { return uint8(float64(a) + (float64(b)-float64(a))*k + 0.5) }
	return color.RGBA{part(a.R, b.R), part(a.G, b.G), part(a.B, b.B), 255}
}
