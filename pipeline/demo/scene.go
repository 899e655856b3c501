package demo

import (
	"hash/fnv"
	"math"
	"slices"
	"strconv"

	"trenchcut/tags"
)

// man is one of the twenty-two.
type man struct {
	ours   bool
	number string
	at     func(t float64) point // seconds from the snap; before it he stands
}

// scene is a play as it moves: pure geometry, in feet from the ball. It knows nothing of
// cameras or pictures.
type scene struct {
	spot    point // of the ball, on the field
	men     []man
	pairs   []*pair // of the tagged reps, in their order, then of everyone else who rushes
	tagged  int
	passer  func(t float64) point
	release float64 // when the ball leaves the passer's hand; +Inf where it never does
	finish  float64
	flight  func(t float64) (at point, height float64)
}

// casting is a scene being put together.
type casting struct {
	*scene
	play  *tags.Play
	line  map[string]bool // linemen who have someone to block
	gone  map[string]bool // our people who are on the field already
	used  map[string]bool // numbers given out, ours and theirs apart: "us 91"
	tight point           // where the tight end stands
	back  point           // where the running back stands
	flank float64         // the tight end's side
	track map[string]path // ways of tight end and back that a chip decides
	carry func(float64) point
}

// newScene is how a play moves. The same play always moves the same way.
func newScene(p *tags.Play) *scene {
	c := &casting{
		scene: &scene{spot: ballSpot(p), release: math.Inf(1), finish: 3.6},
		play:  p, line: map[string]bool{}, gone: map[string]bool{}, used: map[string]bool{},
		track: map[string]path{}, flank: 1,
	}
	if t, ok := p.Since(tags.Release); ok {
		c.release = t.Seconds()
	}
	if t, ok := p.Since(tags.Finish); ok {
		c.finish = t.Seconds()
	} else {
		c.finish = 0
		for _, r := range p.Reps {
			if t, ok := r.Since(tags.Finish); ok {
				c.finish = math.Max(c.finish, t.Seconds())
			}
		}
		if c.finish == 0 {
			c.finish = 3.6
		}
	}
	var rushes []*rush
	for _, r := range p.Reps {
		rushes = append(rushes, newRush(r, c.release, c.finish))
		c.gone[r.Rusher.ID] = true
		c.used["us "+r.Rusher.Jersey] = true
	}
	for _, person := range p.Game.People {
		c.used[teamOf(person)+" "+person.Jersey] = true
	}
	c.tagged = len(rushes)
	c.placeBacks(rushes)
	c.placePasser(rushes)
	rushes = c.fillFront(rushes)
	c.block(rushes)
	c.others()
	c.throw()
	return c.scene
}

func teamOf(p *tags.Person) string {
	if p.Team == "us" {
		return "us"
	}
	return "them"
}

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
			run: c.play.Type == "run", set: "vertical", block: "base", battle: "lost", outcome: "no-effect",
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

// ourNumber is that of a lineman of ours who is not on the field yet.
func (c *casting) ourNumber(inside bool) string {
	want := []string{"DE", "OLB"}
	if inside {
		want = []string{"NT", "DT"}
	}
	var ids []string
	for id := range c.play.Game.People {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		p := c.play.Game.People[id]
		if p.Team == "us" && !c.gone[id] && slices.Contains(want, p.Position) {
			c.gone[id] = true
			return p.Jersey
		}
	}
	return c.number("us", 90)
}

// number is the first free one of a team from n on.
func (c *casting) number(team string, n int) string {
	for ; ; n++ {
		s := strconv.Itoa(n)
		if !c.used[team+" "+s] {
			c.used[team+" "+s] = true
			return s
		}
	}
}

// theirs is the number of their man at a position.
func (c *casting) theirs(position string, otherwise int) string {
	number, id := "", ""
	for _, p := range c.play.Game.People {
		if teamOf(p) == "them" && p.Position == position && (id == "" || p.ID < id) {
			number, id = p.Jersey, p.ID
		}
	}
	if number == "" {
		number = c.number("them", otherwise)
	}
	return number
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
			return p.rusher(math.Min(t, p.until)).add(off)
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
		deep = math.Min(deep, 17*(c.finish*0.75-0.12))
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
			far := math.Min(near.sub(step).length(), 16*(c.finish-1.1))
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

// add puts a man on the field. Nobody moves before the snap, and after the finish all
// slow to a stand.
func (c *casting) add(ours bool, number string, at func(float64) point) {
	c.men = append(c.men, man{ours, number, func(t float64) point { return at(c.slowed(t)) }})
}

func (s *scene) slowed(t float64) float64 {
	const coast = 0.35
	switch {
	case t <= 0:
		return 0
	case t > s.finish:
		return s.finish + coast*(1-math.Exp(-(t-s.finish)/coast))
	default:
		return t
	}
}

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
		k := math.Min((t-s.release)/lasts, 1)
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
		if p.outcome == "batted" {
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
		lasts = math.Max(0.2, to.at(s.release+lasts).sub(from).length()/throwSpeed)
	}
	return to.at(s.release + lasts), handHeight, lasts
}

// loose is the ball in the hand, or out of it after a strip.
func (c *casting) loose(t float64, hand func(float64) point) (point, float64) {
	for _, p := range c.pairs {
		if p.outcome == "strip-sack" && t > p.finish-0.05 {
			k := math.Min((t-p.finish+0.05)/0.6, 1)
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
