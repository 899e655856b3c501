package tags

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"
)

// mappingPlace is a mapping of a tag file: where it stands, and the keys it may have.
type mappingPlace struct {
	path  []string // the keys on the way to it; oneItem and oneName for those of a list or of names
	what  string   // as messages name it
	owner string   // the mapping that it is a key of, as messages name that; empty at the top
	keys  []string
}

// The steps of a path that are no key of this program.
const (
	oneItem = "[]"
	oneName = "name"
)

// everyMapping is a game that has every mapping of a tag file once.
const everyMapping = `trenchcut: 1
game: {}
assume: {}
film: {name: {}}
people: {name: {traits: {}}}
plays:
  - angles: {name: {}}
    marks: {}
    reps:
      - {blocker: {}, grade: {}, marks: {}, draw: [{}]}
`

// mappingPlaces is every mapping of a tag file with the keys its reader knows, which is
// asked for them, so that there is no second list of keys to keep.
var mappingPlaces = sync.OnceValue(func() []mappingPlace {
	r := newGameReader("", &Vocabulary{})
	type read struct {
		what string
		keys Keys
	}
	reads := map[*yaml.Node]read{}
	r.reading = func(n *yaml.Node, what string, keys Keys) { reads[n] = read{what, keys} }
	var top *yaml.Node
	r.top = func(n *yaml.Node) { top = n }
	r.parse([]byte(everyMapping))
	var places []mappingPlace
	var walk func(n *yaml.Node, path []string, owner string)
	walk = func(n *yaml.Node, path []string, owner string) {
		if m, ok := reads[n]; ok {
			what := strings.TrimSuffix(m.what, " "+oneName)
			places = append(places, mappingPlace{path, what, owner, slices.Sorted(maps.Keys(m.keys))})
			if owner = what; path == nil {
				owner = ""
			}
		}
		for i, child := range n.Content {
			switch {
			case n.Kind == yaml.SequenceNode:
				walk(child, append(slices.Clone(path), oneItem), owner)
			case i%2 == 1:
				walk(child, append(slices.Clone(path), n.Content[i-1].Value), owner)
			}
		}
	}
	walk(top, nil, "")
	return places
})

// rightPlace is a hint where a key that a mapping does not have is one of another mapping,
// or looks like one; what names the mapping. It is empty where the key is of none, or looks
// like one of this mapping.
func (r *gameReader) rightPlace(key, value *yaml.Node, what string, known Keys) string {
	places := mappingPlaces()
	at := slices.IndexFunc(places, func(p mappingPlace) bool {
		return p.what == what || p.path != nil && p.path[len(p.path)-1] == oneName && strings.HasPrefix(what, p.what+" ")
	})
	if at < 0 {
		return ""
	}
	here := places[at]
	if to, ok := here.nearest(places, key.Value); ok {
		return "it belongs " + to.from(here) + to.example(here, key.Value, value)
	}
	if _, ok := Nearest(key.Value, slices.Collect(maps.Keys(known))); ok {
		return ""
	}
	var all []string
	for _, p := range places {
		all = append(all, p.keys...)
	}
	near, ok := Nearest(key.Value, all)
	if !ok {
		return ""
	}
	to, _ := here.nearest(places, near)
	return fmt.Sprintf("did you mean %q, which belongs %s?", near, to.from(here))
}

// nearest is the mapping nearest to p that has a key.
func (p mappingPlace) nearest(places []mappingPlace, key string) (nearest mappingPlace, found bool) {
	least := 0
	for _, to := range places {
		if !slices.Contains(to.keys, key) {
			continue
		}
		if steps := len(p.path) + len(to.path) - 2*p.common(to); !found || steps < least {
			nearest, least, found = to, steps, true
		}
	}
	return nearest, found
}

// common is how many steps from the top the ways to p and to another have in common.
func (p mappingPlace) common(to mappingPlace) int {
	n := 0
	for n < len(p.path) && n < len(to.path) && p.path[n] == to.path[n] {
		n++
	}
	return n
}

// from is where p is, in words for whoever wrote a key into another mapping.
func (p mappingPlace) from(here mappingPlace) string {
	// A mapping on the way from the top to here is "the play"; any other is "a play".
	common, n := p.common(here), len(p.path)
	one := func(what string, depth int) string {
		switch {
		case depth <= common:
			return "the " + what
		case strings.HasPrefix(what, "a"):
			return "an " + what
		default:
			return "a " + what
		}
	}
	switch {
	case n == 0:
		return "at the top of the file, with no indent"
	case p.path[n-1] != oneItem && p.path[n-1] != oneName:
		said := "under " + p.path[n-1]
		if p.owner != "" && (common < n-1 || len(here.path) > n-1) {
			said += " of " + one(p.owner, n-1)
		}
		return said
	case common < n:
		return "in " + one(p.what, n) + ", below " + p.path[n-2]
	default:
		return "in " + one(p.what, n)
	}
}

// example is how the key is written below here, where p is to be reached by keys alone.
func (p mappingPlace) example(here mappingPlace, key string, value *yaml.Node) string {
	way := p.path[p.common(here):]
	if len(way) == 0 || p.common(here) < len(here.path) || slices.Contains(way, oneItem) || slices.Contains(way, oneName) {
		return ""
	}
	said := "…"
	if value.Kind == yaml.ScalarNode && value.Value != "" && len(value.Value) <= 20 && !strings.ContainsAny(value.Value, ",:{}[]#\n\"'") {
		said = value.Value
	}
	return ": " + strings.Join(way, ": {") + ": {" + key + ": " + said + strings.Repeat("}", len(way))
}
