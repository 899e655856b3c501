package demo

import (
	"hash/fnv"
	"math"
)

const (
	snapFlight = 0.24 // from the centre's hands to the passer's
	throwSpeed = 62.0 // feet a second
	handHeight = 1.2
)

// inHand is where the ball is beside the man who has it: at the edge of his disc, so that
// his number can be read.
var inHand = point{1.1, 1.3}

// throw says where the ball is.
func (c *casting) throw() {
	s := c.scene
	mesh := 0.0
	if c.play.Type == "run" {
		mesh = 0.75
	}
	hand := func(t float64) point {
		if mesh > 0 && t > mesh {
			return c.carry(s.slowed(t)).add(inHand)
		}
		return s.passer(s.slowed(t)).add(inHand)
	}
	land, height, lasts := c.target(hand)
	s.flight = func(t float64) (point, float64) {
		switch {
		case t <= 0:
			return point{0, 0}, 0.3
		case t < snapFlight:
			k := t / snapFlight
			return hand(t).times(k), 0.3 + (handHeight-0.3)*k
		case t < s.release:
			return c.loose(t, hand)
		}
		k := min((t-s.release)/lasts, 1)
		from := hand(s.release)
		arc := 16 * lasts * lasts * k * (1 - k) // half of g = 32 ft/s²
		return from.add(land.sub(from).times(k)), handHeight + (height-handHeight)*k + arc
	}
}

// target is where a thrown ball comes down, how high, and how long it flies.
func (c *casting) target(hand func(float64) point) (point, float64, float64) {
	s := c.scene
	if math.IsInf(s.release, 1) {
		return point{}, 0, 1
	}
	from := hand(s.release)
	for _, p := range c.pairs {
		if p.batted {
			at := p.rusher(s.release + 0.2)
			return at.add(at.toward(from).times(3)), 0.3, 0.35
		}
	}
	// The receivers and the tight end are the last of theirs; the back catches a screen.
	var theirs []man
	for _, m := range s.men {
		if !m.ours {
			theirs = append(theirs, m)
		}
	}
	receivers := theirs[len(theirs)-4:]
	to := receivers[pick(c.play.Name(), len(receivers))]
	if c.play.Type == "screen" {
		to = theirs[6]
	}
	lasts := 0.4
	for range 8 { // where he will be when it comes
		lasts = max(0.2, to.at(s.release+lasts).sub(from).length()/throwSpeed)
	}
	return to.at(s.release + lasts), handHeight, lasts
}

// loose is the ball in the hand, or out of it after a strip.
func (c *casting) loose(t float64, hand func(float64) point) (point, float64) {
	for _, p := range c.pairs {
		if p.outcome == "strip-sack" && t > p.finish-0.05 {
			k := min((t-p.finish+0.05)/0.6, 1)
			return hand(p.finish).add(point{-3.5, 5.5}.times(k)), handHeight*(1-k) + 0.3
		}
	}
	return hand(t), handHeight
}

// pick is one of n by name, always the same.
func pick(name string, n int) int {
	h := fnv.New32a()
	h.Write([]byte(name))
	return int(h.Sum32() % uint32(n))
}
