package plan

import (
	"slices"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Selection says what is shown, in which order, and what of it again.
type Selection struct {
	Choose []string // terms, as on the command line
	Where  string   // a CEL expression, likewise
	Plays  bool     // the unit is the play, with or without a rep tagged
	Order  []Order  // by the first, where equal by the next; none keeps film order
	Limit  int      // at most so many plays; 0 is all
	Least  int      // of how few plays it is said that they are too few; 0 is of none
	Vary   []Trait  // where a limit leaves some out, none of these has two before each has one
	// Same is how many plays may have the same trait at most, such as the same point.
	Same map[Trait]int
	// InARow is how many plays that were not won may follow each other before a win is seen,
	// be it the model of the last; 0 is any number.
	InARow int
	// Replay and Freeze show plays again, after each time they are shown.
	Replay Replay
	Freeze Freeze
	Why    bool // each rep that was not won is stopped once more, with what to do about it
	Model  bool // after each rep that was not won, the win most like it
}

// Section is a part of a reel with a slate of its own. What it does not say is as the
// recipe says; its terms hold besides the recipe's.
type Section struct {
	Title string
	Slate Told // a slate and no plays
	Selection
}

// selectionKeys reads what recipes and sections say alike.
func selectionKeys(d *tags.Decoder, s *Selection) tags.Keys {
	return tags.Keys{
		"choose": func(n *yaml.Node) { s.Choose = terms(d, n) },
		"where":  func(n *yaml.Node) { s.Where = d.Text(n, "where") },
		"plays":  func(n *yaml.Node) { s.Plays = d.YesNo(n, "plays") },
		"order": func(n *yaml.Node) {
			s.Order = nil
			one := func(n *yaml.Node) {
				var o Order
				value(d, "order", oneOf("order", orders...), &o)(n)
				s.Order = append(s.Order, o)
			}
			if n.Kind == yaml.ScalarNode {
				one(n)
				return
			}
			d.List(n, "order", one)
		},
		"limit":    func(n *yaml.Node) { s.Limit, _ = d.Whole(n, 0, mostPlays) },
		"least":    func(n *yaml.Node) { s.Least, _ = d.Whole(n, 1, mostPlays) },
		"vary":     func(n *yaml.Node) { s.Vary = vary(d, n) },
		"same":     func(n *yaml.Node) { s.Same = same(d, n) },
		"in-a-row": func(n *yaml.Node) { s.InARow, _ = d.Whole(n, 1, mostPlays) },
		"why":      func(n *yaml.Node) { s.Why = d.YesNo(n, "why") },
		"replay":   func(n *yaml.Node) { s.Replay = replay(d, n) },
		"freeze":   func(n *yaml.Node) { s.Freeze = freeze(d, n) },
		"model":    func(n *yaml.Node) { s.Model = d.YesNo(n, "model") },
	}
}

// mostPlays bounds a limit.
const mostPlays = 10_000

// section reads one, starting from what the recipe says.
func section(d *tags.Decoder, n *yaml.Node, of Selection) Section {
	s := Section{Selection: of}
	s.Choose, s.Where = nil, ""
	keys := selectionKeys(d, &s.Selection)
	keys["title"] = func(n *yaml.Node) { s.Title = d.Text(n, "title") }
	keys["slate"] = value(d, "slate", oneOf("slate", ToldReads, ToldDrills), &s.Slate)
	d.Mapping(n, "section", keys)
	if s.Slate != "" {
		if len(n.Content) > 2*len([]string{"title", "slate"}) {
			d.Faults.Add(d.Pos(n), "a section that is a slate shows no plays: want its title and slate alone")
		}
		s.Selection = Selection{}
	}
	if s.Title == "" {
		d.Faults.Add(d.Pos(n), "a section wants a title")
	}
	return s
}

// Parts is the sections as what to choose and how to show it: the recipe by itself where
// it has none. The recipe's own terms hold in each.
func (r Recipe) Parts() []Section {
	if len(r.Sections) == 0 {
		return []Section{{Selection: r.Selection}}
	}
	parts := make([]Section, len(r.Sections))
	for i, s := range r.Sections {
		if s.Slate != "" {
			parts[i] = s
			continue
		}
		s.Choose = slices.Concat(r.Choose, s.Choose)
		s.Where = both(r.Where, s.Where)
		parts[i] = s
	}
	return parts
}

// both is a CEL expression that holds where a and b do.
func both(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return "(" + a + ") && (" + b + ")"
}
