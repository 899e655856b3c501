package demo

import "math"

type vec struct{ x, y, z float64 } // feet, on the field's measure; z is height

func (a vec) sub(b vec) vec       { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) times(k float64) vec { return vec{a.x * k, a.y * k, a.z * k} }
func (a vec) add(b vec) vec       { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) dot(b vec) float64   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) cross(b vec) vec     { return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x} }
func (a vec) unit() vec           { return a.times(1 / math.Sqrt(a.dot(a))) }
func (p point) up(z float64) vec  { return vec{p.x, p.y, z} }
func (a vec) toward(b vec) vec    { return b.sub(a).unit() }

// camera is a pinhole that looks down on the field.
type camera struct {
	eye                vec
	right, down, ahead vec
	focal              float64 // pixels
	cx, cy             float64
}

// aimed is a camera at eye that sees wide feet across at the place it looks at.
func aimed(eye, at vec, wide float64, width, height int) camera {
	ahead := eye.toward(at)
	right := ahead.cross(vec{0, 0, 1}).unit()
	gap := at.sub(eye)
	return camera{
		eye: eye, ahead: ahead, right: right, down: ahead.cross(right),
		focal: float64(width) * math.Sqrt(gap.dot(gap)) / wide,
		cx:    float64(width) / 2, cy: float64(height) / 2,
	}
}

// cameraOf places the camera of an angle for a play: the end zone's high behind the
// offence, any other high at the side. The teams change ends with each quarter, so the
// sideline camera sees the offence go right in odd quarters and left in even ones.
func cameraOf(angle string, spot point, quarter int, width, height int) camera {
	if angle == "endzone" {
		at := spot.add(point{0, -5.5}).up(0)
		return aimed(at.add(vec{(fieldWidth/2 - spot.x) * 0.4, -88, 82}), at, 68, width, height)
	}
	side := 1.0
	if quarter%2 == 0 {
		side = -1
	}
	at := spot.add(point{-side * 1, 2}).up(0)
	return aimed(at.add(vec{side * 108, 0, 96}), at, 76, width, height)
}

// project is where a place is in the picture, and how many pixels a foot is there.
func (c camera) project(v vec) (x, y, scale float64) {
	d := v.sub(c.eye)
	scale = c.focal / d.dot(c.ahead)
	return c.cx + d.dot(c.right)*scale, c.cy + d.dot(c.down)*scale, scale
}

// ground is the place on the ground under a pixel; false above the horizon.
func (c camera) ground(x, y float64) (point, bool) {
	d := c.ahead.add(c.right.times((x - c.cx) / c.focal)).add(c.down.times((y - c.cy) / c.focal))
	if d.z >= -1e-6 {
		return point{}, false
	}
	k := -c.eye.z / d.z
	return point{c.eye.x + d.x*k, c.eye.y + d.y*k}, true
}

// squash is how flat a disc on the ground looks from c: the sine of its elevation.
func (c camera) squash() float64 { return -c.ahead.z }
