package demo

// others adds the receivers, and our men behind the front.
func (c *casting) others() {
	across := func(x float64) float64 { return clamp(x, 9, fieldWidth-9) - c.spot.x }
	outside := []float64{across(14), across(fieldWidth - 14), across(c.spot.x - 29*c.flank)}
	if c.play.Personnel == "10" {
		outside[2] = across(c.spot.x - 26*c.flank)
	}
	run := c.play.Type == "run"
	for i, x := range outside {
		from := point{x, -2 - float64(i)}
		deep := []float64{38, 30, 16}[i]
		if run {
			deep = 14
		}
		deep = min(deep, 17*(c.finish*0.75-0.12))
		route := way(key{0.12, from}, key{c.finish * 0.75, from.add(point{0, deep})}, key{c.finish, from.add(point{-4 * sign(x), deep - 2})})
		cover := way(key{0.35, from.add(point{-1, 17})}, key{c.finish * 0.75, from.add(point{-1.5, deep + 7})}, key{c.finish, from.add(point{-4 * sign(x), deep + 3})})
		c.add(false, c.number("them", 80+i*2), route.at)
		c.add(true, c.number("us", 21+2*i), cover.at)
	}
	front := 0
	for _, m := range c.men {
		if m.ours {
			front++
		}
	}
	// Linebackers and the man deep, up to eleven.
	spots := []point{{-9, 13}, {7, 13.5}, {-1, 38}, {17, 15}, {-19, 16}}
	stop := c.tackler()
	for i := 0; front < 11 && i < len(spots); i++ {
		from, to := spots[i], spots[i].add(point{2 * sign(spots[i].x), 11})
		if c.play.Type == "screen" {
			to = spots[i].add(point{-8, -3})
		}
		keys := []key{{0.3, from}, {1.0, from.add(point{0, 1})}, {c.finish, to}}
		if run {
			near := c.carry(c.finish).add(point{sign(spots[i].x) * (4 + 2*float64(i)), 5 + 2*float64(i)})
			if i == stop {
				near = c.carry(c.finish).add(point{0.5, 1}.unit().times(touching))
			}
			step := from.add(point{2 * c.runSide(nil), -2})
			far := min(near.sub(step).length(), 16*(c.finish-1.1))
			keys = []key{{0.3, from}, {1.1, step}, {c.finish, step.add(step.toward(near).times(far))}}
		}
		at := way(keys...).at
		if run && i != stop {
			at = c.yielding(at)
		}
		c.add(true, c.number("us", 41+i*5), at)
		front++
	}
}

// tackler is which linebacker makes the tackle of a run, -1 where a tagged rep did.
func (c *casting) tackler() int {
	for _, p := range c.pairs {
		if p.outcome == "stop" || p.outcome == "tackle-for-loss" {
			return -1
		}
	}
	if c.carry(c.finish).x > 0 {
		return 1
	}
	return 0
}
