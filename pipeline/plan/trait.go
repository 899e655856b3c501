package plan

import (
	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Trait is what plays may have in common.
type Trait string

// The traits.
const (
	TraitMove    Trait = "move"  // the last of the rush
	TraitPoint   Trait = "point" // to teach: what praises is none
	TraitRusher  Trait = "rusher"
	TraitBlocker Trait = "blocker"
	TraitGame    Trait = "game"
)

var traits = []Trait{TraitMove, TraitPoint, TraitRusher, TraitBlocker, TraitGame}

// of is the trait of a take: that of its first rep that has it; empty where none has.
func (trait Trait) of(t take) string {
	if trait == TraitGame {
		return t.play.Game.ID
	}
	for _, r := range t.reps {
		value := ""
		switch trait {
		case TraitMove:
			if n := len(r.Moves); n > 0 {
				value = r.Moves[n-1].Name
			}
		case TraitPoint:
			if !r.Praised() {
				value = r.Point
			}
		case TraitRusher:
			value = r.Rusher.Key()
		case TraitBlocker:
			if r.Blocker != nil {
				value = r.Blocker.Key()
			}
		}
		if value != "" {
			return value
		}
	}
	return ""
}

// vary reads yes, which is by move, no, a trait or a list of them.
func vary(d *tags.Decoder, n *yaml.Node) []Trait {
	var list []Trait
	one := func(n *yaml.Node) {
		var t Trait
		value(d, "vary", oneOf("trait", traits...), &t)(n)
		list = append(list, t)
	}
	switch {
	case n.Kind != yaml.ScalarNode:
		d.List(n, "vary", one)
	case n.Value == "yes" || n.Value == "true":
		list = []Trait{TraitMove}
	case n.Value == "no" || n.Value == "false" || n.ShortTag() == "!!null":
	default:
		one(n)
	}
	return list
}

// same reads {point: 2}, or no.
func same(d *tags.Decoder, n *yaml.Node) map[Trait]int {
	if n.Kind == yaml.ScalarNode && n.Value == "no" {
		return nil
	}
	most := map[Trait]int{}
	keys := tags.Keys{}
	for _, t := range traits {
		keys[string(t)] = func(n *yaml.Node) { most[t], _ = d.Whole(n, 1, mostPlays) }
	}
	d.Mapping(n, "same", keys)
	return most
}
