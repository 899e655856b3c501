package demo

import "math"

// pair is a rusher and his blocker as they move. They are locked from contact to the
// beat: the rusher's place is an angle round the blocker, 0 in front of him, positive
// outside, and past a right angle his hips are past the blocker's.
type pair struct {
	*rush
	aim   point // what the blocker protects
	guard path  // the blocker
	angle path  // degrees, as x
	come  path  // the rusher before contact
	free  path  // the rusher after the beat
	until float64
}

// newPair works out both men's ways. from is the blocker's place before the snap; passer
// is where the man with the ball is at a time.
func newPair(u *rush, from point, passer func(float64) point) *pair {
	p := &pair{rush: u, until: math.Inf(1)}
	p.aim = passer(u.finish)
	if u.beats {
		p.aim = passer(u.beat)
	}
	if u.run {
		p.aim = point{from.x, from.y - 60}
	}
	p.guard = p.guardPath(from)
	p.angle = p.anglePath()
	p.come = p.comePath()
	p.freePath(passer)
	return p
}

func (p *pair) guardPath(from point) path {
	if p.run {
		return p.blockPath(from)
	}
	set, ok := sets[p.set]
	if !ok {
		set = sets["short"]
	}
	move, side := set.tackle, p.side
	if math.Abs(from.x) < aligns["4"]-1 {
		move, side = set.inside, sign(p.start.x-from.x)
	}
	keys := []key{{0.04, from}, {set.by, from.add(point{side * move.x, move.y})}}
	at := way(keys...).at(p.contact)
	if p.contact < set.by {
		keys = keys[:1]
	}
	keys = append(keys, key{p.contact, at})

	ground := map[string]float64{"won": 3.5, "stalemate": 4.5, "lost": 2}[p.battle]
	if p.family == "power" {
		ground *= 1.7
	}
	spare := at.sub(p.aim).length() - 2*touching - 1.5
	last := p.finish
	if p.beats {
		last = p.beat
	}
	give := at.toward(p.aim).times(max(0, min(ground, spare)))
	if p.job == "penetrator" {
		give.x += 3 * p.side // he drives his man out of the looper's way
	}
	keys = append(keys, key{last, at.add(give)})
	if p.beats {
		// Beaten, he trails.
		trail := 3.0
		if p.held {
			trail = 8
		}
		end := at.add(give)
		keys = append(keys, key{p.finish, end.add(end.toward(p.aim).times(min(trail, spare)))})
	}
	return way(keys...)
}

// blockPath is a blocker's on a run.
func (p *pair) blockPath(from point) path {
	reach := point{0.4 * sign(p.start.x-from.x), 1}
	if p.block == "reach" {
		reach = point{p.side * 2.6, 1}
	}
	at := from.add(reach)
	after := map[string]point{"won": {0.5 * p.side, -0.8}, "stalemate": {0.3 * p.side, 0.6}, "lost": {0.8 * p.side, 3.5}}[p.battle]
	if p.how == "reached" {
		after = point{p.side * 3, 3}
	}
	return way(key{0.04, from}, key{p.contact, at}, key{p.finish, at.add(after)})
}

func (p *pair) anglePath() path {
	deg := func(t, a float64) key { return key{t, point{a, 0}} }
	if p.run {
		end := map[string]float64{"won": 40, "stalemate": 10, "lost": -15}[p.battle]
		if p.how == "reached" {
			end = -65
		}
		if p.beats {
			return way(deg(p.contact, 10), deg(p.beat, -100))
		}
		return way(deg(p.contact, 15), deg(p.finish, end))
	}
	// How far round he gets by each path: at contact, when the path changes, unbeaten.
	type far struct{ contact, turn, even, lost float64 }
	round := map[string]far{
		"outside": {32, 42, 70, 48},
		"through": {8, 6, 14, 5},
		"inside":  {-16, -40, -66, -44},
	}
	first, last := round[p.firstPath()], round[p.lastPath()]
	arrive := clamp(p.facing(), first.contact-34, first.contact)
	if p.firstPath() == "inside" {
		arrive = clamp(p.facing(), first.contact, first.contact+30)
	}
	keys := []key{deg(p.contact, arrive)}
	if p.turns {
		turn := first.turn
		if p.firstPath() == p.lastPath() {
			turn *= 1.3
		}
		keys = append(keys, deg(p.turn, turn))
	}
	past := 100.0
	if p.lastPath() == "inside" {
		past = -100
	}
	switch {
	case p.beats:
		if p.lastPath() == "through" && p.beat-0.4 > p.contact {
			keys = append(keys, deg(p.beat-0.4, 14))
		}
		// Until just before the beat he is still in front.
		if last := keys[len(keys)-1]; p.beat-last.t > 0.8 && p.lastPath() != "through" {
			keys = append(keys, deg(p.beat-0.22, past*0.7))
		}
		keys = append(keys, deg(p.beat, past))
	case p.job == "penetrator":
		keys = []key{deg(p.contact, -30), deg(p.finish, -62)}
	default:
		far := last.lost
		if p.battle == "stalemate" || p.battle == "won" {
			far = last.even
		}
		if p.turns {
			keys = append(keys, deg(p.turn+0.5, far*0.8))
		}
		keys = append(keys, deg(p.finish, far))
	}
	return way(keys...)
}

// facing is the angle, in degrees, at which the rusher's own place stands from the
// blocker's at contact: where a straight way would meet him.
func (p *pair) facing() float64 {
	b := p.guard.at(p.contact)
	front := p.aim.toward(b)
	d := p.start.sub(b)
	return math.Atan2((d.x*front.y-d.y*front.x)*p.side, d.x*front.x+d.y*front.y) * 180 / math.Pi
}

// comePath is the rusher's way to the blocker; a looper first goes up the field and then
// behind the man who goes first.
func (p *pair) comePath() path {
	meets := key{p.contact, p.locked(p.contact)}
	if p.job == "looper" {
		return way(key{p.getoff, p.start},
			key{p.getoff + 0.35, p.start.add(point{p.side, 0.5})},
			key{p.contact - 0.42, point{p.start.x - p.side*3.2, 2}}, meets)
	}
	// He stands still until his get-off, however fast he arrives.
	return run(key{p.getoff - 0.01, p.start}, key{p.getoff, p.start}, meets)
}

// freePath is the rusher's once nobody blocks him: how near he comes to the ball, and
// when, is what the outcome says.
func (p *pair) freePath(passer func(float64) point) {
	switch {
	case p.beats:
		p.until = p.beat
	case p.run && p.outcome == "stop":
		p.until = p.finish - 0.6
	default:
		return
	}
	from := p.locked(p.until)
	when, gap := p.finish, 9.0
	switch p.outcome {
	case "sack", "strip-sack", "tackle-for-loss", "stop":
		gap, when = touching, p.finish-0.05
	case "hit":
		gap, when = touching, min(p.release+0.2, p.finish)
	case "hurry":
		gap, when = 4.6, min(p.release+0.1, p.finish)
	case "flush":
		gap = 6
	}
	when = max(when, p.until+0.3)
	target := passer(when)
	short := target.sub(from).length() - gap
	// Nobody runs faster than this, in feet a second.
	short = clamp(short, 0, 22*(when-p.until))
	p.free = run(key{p.until, from}, key{when, from.add(from.toward(target).times(short))})
}

// locked is the rusher's place while they are at each other.
func (p *pair) locked(t float64) point {
	b := p.guard.at(t)
	front := p.aim.toward(b)
	out := point{front.y, -front.x}.times(p.side)
	a := p.angle.at(t).x * math.Pi / 180
	return b.add(front.times(math.Cos(a) * touching)).add(out.times(math.Sin(a) * touching))
}

// rusher and guarding are where the two men are at t.
func (p *pair) rusher(t float64) point {
	switch {
	case t <= p.contact:
		return p.come.at(t)
	case t >= p.until:
		return p.free.at(t)
	default:
		return p.locked(t)
	}
}

func (p *pair) guarding(t float64) point { return p.guard.at(t) }
