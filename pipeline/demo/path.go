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
	keys  []key
	speed []point // at each key, in feet a second
}

// way is a path that starts from a stand and comes to one. A key that does not come after
// the one before is left out.
func way(keys ...key) path { return through(keys, false) }

// run is a path like way, but leaves its first key and reaches its last at a run.
func run(keys ...key) path { return through(keys, true) }

func through(keys []key, fast bool) path {
	kept := []key{keys[0]}
	for _, k := range keys[1:] {
		if k.t > kept[len(kept)-1].t+1e-6 {
			kept = append(kept, k)
		}
	}
	last := len(kept) - 1
	between := make([]point, last) // the mean speed from each key to the next
	for i := range between {
		between[i] = kept[i+1].point.sub(kept[i].point).times(1 / (kept[i+1].t - kept[i].t))
	}
	speed := make([]point, len(kept))
	for i := 1; i < last; i++ {
		a, b := between[i-1], between[i]
		speed[i] = point{gentler(a.x, b.x), gentler(a.y, b.y)}
	}
	if fast && last > 0 {
		speed[0], speed[last] = between[0], between[last-1]
	}
	return path{kept, speed}
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
		a, b := p.speed[i-1], p.speed[i]
		return point{
			hermite(k[i-1].x, k[i].x, a.x*h, b.x*h, s),
			hermite(k[i-1].y, k[i].y, a.y*h, b.y*h, s),
		}
	}
	return k[len(k)-1].point
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

func clamp(v, least, most float64) float64 { return min(max(v, least), most) }

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}
