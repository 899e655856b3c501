package demo

import "math"

func (p point) length() float64 { return math.Hypot(p.x, p.y) }

// unit is p at length one; straight downfield where p has no length.
func (p point) unit() point {
	if l := p.length(); l > 1e-9 {
		return p.times(1 / l)
	}
	return point{0, 1}
}

// key is a place at a time, in seconds from the snap.
type key struct {
	t float64
	point
}

// path is a way through keys in order of time: it stands still before the first and
// after the last. Between them it is a monotone cubic (Fritsch and Carlson 1980, SIAM J.
// Numer. Anal. 17:238–246), which never swings past a key.
type path struct {
	keys []key
	fast bool // leaves the first and reaches the last key at a run
}

func (p path) at(t float64) point {
	k := p.keys
	if t <= k[0].t {
		return k[0].point
	}
	for i := 1; i < len(k); i++ {
		if t > k[i].t {
			continue
		}
		h := k[i].t - k[i-1].t
		s := (t - k[i-1].t) / h
		a, b := p.slope(i-1), p.slope(i)
		return point{
			hermite(k[i-1].x, k[i].x, a.x*h, b.x*h, s),
			hermite(k[i-1].y, k[i].y, a.y*h, b.y*h, s),
		}
	}
	return k[len(k)-1].point
}

// slope is the speed at key i, in feet a second.
func (p path) slope(i int) point {
	last := len(p.keys) - 1
	if i == 0 || i == last {
		if !p.fast {
			return point{}
		}
		return p.secant(max(i-1, 0))
	}
	a, b := p.secant(i-1), p.secant(i)
	return point{gentler(a.x, b.x), gentler(a.y, b.y)}
}

func (p path) secant(i int) point {
	a, b := p.keys[i], p.keys[i+1]
	return b.point.sub(a.point).times(1 / (b.t - a.t))
}

// gentler is the harmonic mean of two slopes, and none where they turn round.
func gentler(a, b float64) float64 {
	if a*b <= 0 {
		return 0
	}
	return 2 * a * b / (a + b)
}

func hermite(a, b, da, db, s float64) float64 {
	s2, s3 := s*s, s*s*s
	return a*(2*s3-3*s2+1) + da*(s3-2*s2+s) + b*(3*s2-2*s3) + db*(s3-s2)
}

// way makes a path of keys, leaving out any that does not come after the one before.
func way(keys ...key) path {
	p := path{keys: keys[:1:1]}
	for _, k := range keys[1:] {
		if k.t > p.keys[len(p.keys)-1].t+1e-6 {
			p.keys = append(p.keys, k)
		}
	}
	return p
}

// run is way at a run.
func run(keys ...key) path {
	p := way(keys...)
	p.fast = true
	return p
}

func clamp(v, least, most float64) float64 { return math.Min(math.Max(v, least), most) }

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}
