package tags

import "gopkg.in/yaml.v3"

// Distances is what a staff calls short and long, in yards to go: at most Short, and at
// least Long. What is between them is medium.
type Distances struct{ Short, Long int }

// Downs is the downs as a room counts them.
var Downs = []string{"1st", "2nd", "3rd", "4th"}

// ordinals is the downs in words.
var ordinals = []string{"first", "second", "third", "fourth"}

// distances is what a file says of them, by the down; 0 is every down. A side that it says
// nothing of is 0.
type distances struct {
	Pos  Pos
	said [5]Distances
}

// distances reads "{short: 2, long: 7, third: {long: 6}}".
func (d *Decoder) distances(n *yaml.Node) *distances {
	said := &distances{Pos: d.Pos(n)}
	sides := func(of *Distances) Keys {
		side := func(into *int) func(*yaml.Node) {
			return func(n *yaml.Node) { *into, _ = d.Whole(n, 1, 99) }
		}
		return Keys{"short": side(&of.Short), "long": side(&of.Long)}
	}
	keys := sides(&said.said[0])
	for down, name := range ordinals[1:] {
		keys[name] = func(n *yaml.Node) { d.Mapping(n, name+" down", sides(&said.said[down+2])) }
	}
	d.Mapping(n, "distances", keys)
	for down, of := range said.said {
		all := said.said[0]
		short, long := either(of.Short, all.Short), either(of.Long, all.Long)
		if short > 0 && long > 0 && short >= long {
			where := "distances"
			if down > 0 {
				where = ordinals[down-1] + " down"
			}
			d.Faults.Add(said.Pos, "%s: short is at most %d and long at least %d: want short below long", where, short, long)
			break
		}
	}
	return said
}

// lay puts what a file says over what v says.
func (v *Vocabulary) lay(d *distances) {
	for down, of := range d.said {
		v.Distances[down] = Distances{either(of.Short, v.Distances[down].Short), either(of.Long, v.Distances[down].Long)}
	}
}

func either(n, otherwise int) int {
	if n > 0 {
		return n
	}
	return otherwise
}

// DownClass is the play's down as a room speaks of it: first-down, second-long,
// third-short and so on, by the staff's distances; empty where no down is tagged.
func (p *Play) DownClass() string {
	if p.Down == nil {
		return ""
	}
	ordinal := ordinals[*p.Down-1]
	if *p.Down == 1 || p.Distance == nil {
		return ordinal + "-down"
	}
	all, own := p.Game.vocabulary.Distances[0], p.Game.vocabulary.Distances[*p.Down]
	switch {
	case *p.Distance >= either(own.Long, all.Long):
		return ordinal + "-long"
	case *p.Distance <= either(own.Short, all.Short):
		return ordinal + "-short"
	default:
		return ordinal + "-medium"
	}
}
