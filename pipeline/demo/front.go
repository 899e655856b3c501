package demo

import (
	"math"
	"slices"
)

// fillFront puts four men on the line where fewer are tagged: they rush, and lose.
func (c *casting) fillFront(rushes []*rush) []*rush {
	for _, slot := range []struct {
		align string
		side  float64
	}{{"3", 1}, {"1", -1}, {"5", -1}, {"5", 1}, {"3", -1}, {"1", 1}} {
		if len(rushes) >= 4 {
			break
		}
		x := slot.side * aligns[slot.align]
		if slices.ContainsFunc(rushes, func(u *rush) bool { return math.Abs(u.start.x-x) < 2*radius+0.9 }) {
			continue
		}
		u := &rush{
			start: point{x, offBall}, side: slot.side, inside: aligns[slot.align] < aligns["4"],
			run: c.play.Type == "run", set: "vertical", block: "base", battle: "lost", outcome: "no-factor",
			release: c.release, finish: c.finish,
		}
		if u.inside {
			u.set, u.paths = "short", []string{"through"}
		}
		u.number = c.ourNumber(u.inside)
		u.time(nil)
		rushes = append(rushes, u)
	}
	return rushes
}

// block gives each rusher his blocker, and the men who help.
func (c *casting) block(rushes []*rush) {
	for _, u := range rushes {
		if _, ok := linemen[u.blocker]; ok && !c.line[u.blocker] {
			c.line[u.blocker] = true
		} else if u.blocker != "TE" {
			u.blocker = ""
		}
	}
	for _, u := range rushes {
		if u.blocker == "" {
			u.blocker = c.nearest(u.start, 9)
			c.line[u.blocker] = true
		}
	}
	places := map[string]func(float64) point{}
	for _, u := range rushes {
		from, ok := linemen[u.blocker]
		if u.blocker == "TE" {
			from, ok = c.tight, true
		}
		if !ok {
			from = u.start.add(point{0, -6}) // nobody: he meets thin air
		}
		pair := newPair(u, from, c.carry)
		c.pairs = append(c.pairs, pair)
		c.add(true, u.number, pair.rusher)
		if ok {
			places[u.blocker] = pair.guarding
		}
	}
	for _, pair := range c.pairs {
		c.help(pair, places)
	}
	for i, position := range lineOrder {
		at := places[position]
		if at == nil {
			at = c.yielding(c.idle(position))
		}
		c.add(false, c.theirs(position, 60+4*i), at)
	}
	c.ends(places)
}

// nearest is the free lineman nearest to a place, within so many feet.
func (c *casting) nearest(from point, within float64) string {
	best := ""
	for _, position := range lineOrder {
		d := linemen[position].sub(from).length()
		if !c.line[position] && d < within {
			best, within = position, d
		}
	}
	return best
}

// help sends the second man a rep is tagged with.
func (c *casting) help(p *pair, places map[string]func(float64) point) {
	switch p.help {
	case "chip-te":
		hit := p.contact - 0.12
		off := point{sign(c.tight.x - p.rusher(hit).x), -0.25}.unit().times(touching)
		c.track["TE"] = way(key{0.1, c.tight}, key{hit, p.rusher(hit).add(off)},
			key{hit + 0.35, p.rusher(hit + 0.35).add(off)}, key{c.finish, point{p.side * 24, 20}})
	case "chip-rb":
		hit := p.contact + 0.3
		off := point{p.side * 0.95, -0.3}.unit().times(touching)
		c.track["RB"] = way(key{0.1, c.back}, key{hit, p.rusher(hit).add(off)},
			key{hit + 0.3, p.rusher(hit + 0.3).add(off)}, key{c.finish, point{p.side * 30, -4}})
	case "double", "slide-to":
		position := c.nearest(linemen[p.blocker], 2*split+1)
		if position == "" {
			return
		}
		c.line[position] = true
		from := linemen[position]
		side := sign(from.x - p.start.x)
		off := point{side, -0.35}.unit().times(touching)
		arrive := p.contact + 0.2
		if p.help == "slide-to" {
			off, arrive = off.times(1.25), p.contact+0.7
		}
		reach := way(key{0.04, from}, key{arrive, p.rusher(arrive).add(off)})
		places[position] = func(t float64) point {
			if t < arrive {
				return reach.at(t)
			}
			return p.rusher(min(t, p.until)).add(off)
		}
	}
}

// idle is how a lineman with nobody to block moves.
func (c *casting) idle(position string) func(float64) point {
	from := linemen[position]
	if c.play.Type == "run" {
		return way(key{0.05, from}, key{0.8, from.add(point{0.5 * c.flank, 3})}, key{2.4, from.add(point{1.5 * c.flank, 9})}).at
	}
	return way(key{0.05, from}, key{0.6, from.add(point{0, -2})}, key{2.4, from.add(point{0, -3})}).at
}

// yielding is a man's way, giving some room to those who are at each other. A man they
// go right through does not know which way to go, so he stays.
func (c *casting) yielding(at func(float64) point) func(float64) point {
	return func(t float64) point {
		p := at(t)
		for _, q := range c.pairs {
			for _, other := range []point{q.rusher(t), q.guarding(t)} {
				if away := p.sub(other); away.length() < touching {
					p = p.add(away.times(1 - away.length()/touching))
				}
			}
		}
		return p
	}
}
