package demo

import "slices"

// placeBacks says where the tight end and the running back stand.
func (c *casting) placeBacks(rushes []*rush) {
	c.tight, c.back = end, point{-5, -16}
	under := c.underCentre()
	if under {
		c.back = point{0, -22}
	}
	for _, u := range rushes {
		if u.help == "chip-te" || u.blocker == "TE" {
			c.flank = u.side
			if u.wide {
				c.tight = wing
			}
		}
	}
	c.tight.x *= c.flank
	for _, u := range rushes {
		if u.help == "chip-rb" {
			c.back.x = 5 * u.side
		}
	}
}

func (c *casting) underCentre() bool {
	return slices.Contains([]string{"run", "play-action", "boot"}, c.play.Type)
}

// placePasser says how the passer moves, and on a run the runner.
func (c *casting) placePasser(rushes []*rush) {
	keys := map[string][]key{
		"dropback":    {{0.25, point{0, -15}}, {1.35, point{0.6, -22.5}}, {1.7, point{0.6, -22.5}}, {2.5, point{0.4, -20.8}}},
		"quick":       {{0.25, point{0, -15}}, {0.8, point{0.4, -17}}},
		"rpo":         {{0.25, point{0, -15}}, {0.6, point{0.8, -15}}, {1.2, point{0.6, -17}}},
		"screen":      {{0.25, point{0, -15}}, {1.9, point{0.5, -25}}},
		"play-action": {{0.05, point{0, -5}}, {0.8, point{1.6, -11}}, {2.0, point{0.8, -23}}, {2.6, point{0.8, -22}}},
		"boot":        {{0.05, point{0, -5}}, {0.8, point{-2, -10.5}}, {2.0, point{12, -19}}, {3.2, point{27, -16}}},
		"run":         {{0.05, point{0, -5}}, {0.7, point{1.6, -11.5}}, {2.2, point{-3, -18}}},
	}[c.play.Type]
	if keys == nil {
		keys = []key{{0.25, point{0, -15}}}
	}
	keys = slices.Clone(keys)
	if c.play.Type == "run" {
		keys[1].x *= c.runSide(rushes)
		keys[2].x *= c.runSide(rushes)
	}
	for _, u := range rushes {
		if u.outcome != "flush" {
			continue
		}
		// Off his spot, away from the man who flushed him.
		off := u.beat + 0.1
		from := way(keys...).at(off)
		keys = slices.DeleteFunc(keys, func(k key) bool { return k.t >= off })
		keys = append(keys, key{off, from}, key{off + 1.1, from.add(point{-u.side * 11, 3})})
		break
	}
	w := way(keys...)
	c.passer, c.carry = w.at, w.at
	if c.play.Type == "run" {
		c.carry = c.runner(rushes).at
	}
}

// runSide is the side a run goes to: that of the first rep.
func (c *casting) runSide(rushes []*rush) float64 {
	if len(rushes) > 0 {
		return rushes[0].side
	}
	return 1
}

// runner is the way of the man with the ball on a run.
func (c *casting) runner(rushes []*rush) path {
	side := c.runSide(rushes)
	has := func(f func(*rush) bool) bool { return slices.ContainsFunc(rushes, f) }
	outcome := func(o string) bool { return has(func(u *rush) bool { return u.outcome == o }) }
	mesh := key{0.75, point{side * 2.6, -12}}
	var after []key
	switch {
	case outcome("tackle-for-loss"):
		after = []key{{1.5, point{side * 6, -6.5}}, {c.finish, point{side * 5, -4.5}}}
	case outcome("forced-cutback"):
		after = []key{{1.5, point{side * 9, -5}}, {2.2, point{side * 1, -1}}, {c.finish, point{-side * 4.5, 3}}}
	case outcome("edge-set"):
		after = []key{{1.6, point{side * 9, -5.5}}, {2.3, point{side * 7, -1.5}}, {c.finish, point{side * 4, 3.5}}}
	case has(func(u *rush) bool { return u.how == "reached" }):
		after = []key{{1.6, point{side * 13, -5}}, {2.4, point{side * 20, 2}}, {c.finish, point{side * 24, 13}}}
	default:
		after = []key{{1.6, point{side * 6, -1}}, {c.finish, point{side * 5, 8}}}
	}
	return way(append([]key{{0.1, c.back}, mesh}, after...)...)
}

// ends adds the passer, the back, and the tight end.
func (c *casting) ends(places map[string]func(float64) point) {
	c.add(false, c.theirs("QB", 10), c.passer)

	var at func(float64) point
	back, ok := c.track["RB"]
	switch {
	case ok:
	case c.play.Type == "play-action", c.play.Type == "boot":
		back = way(key{0.1, c.back}, key{0.85, point{-1.6, -12.5}}, key{1.6, point{-4.5, -9.5}}, key{c.finish, point{-5, -9}})
		at = c.yielding(back.at)
	case c.play.Type == "screen":
		back = way(key{0.2, c.back}, key{1.1, c.back.add(point{1.5, 5})}, key{2.3, point{-19, -6}},
			key{2.5, point{-19.5, -5}}, key{c.finish, point{-20, 9}})
	default:
		back = way(key{0.2, c.back}, key{0.9, c.back.add(point{0.5, 2.5})}, key{1.6, c.back.add(point{-1, 3.5})})
		at = c.yielding(back.at)
	}
	switch {
	case c.play.Type == "run":
		at = c.carry
	case at == nil:
		at = back.at
	}
	c.add(false, c.theirs("RB", 20), at)

	tight := places["TE"]
	if tight == nil {
		w, ok := c.track["TE"]
		switch {
		case ok:
		case c.play.Type == "run":
			w = way(key{0.05, c.tight}, key{0.6, c.tight.add(point{0.6 * c.flank, 2.2})}, key{c.finish, c.tight.add(point{c.flank, 7})})
		default:
			w = way(key{0.1, c.tight}, key{0.8, c.tight.add(point{4 * c.flank, 6})}, key{c.finish, c.tight.add(point{4 * c.flank, 34})})
		}
		tight = w.at
	}
	c.add(false, c.theirs("TE", 80), tight)
}
