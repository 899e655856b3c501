package demo

import (
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
				c.finish = max(c.finish, t.Seconds())
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
