package tags

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"

	"gopkg.in/yaml.v3"
)

// Edit is one change to a YAML file, made by [Replace], [ReplaceValue],
// [Insert], [Append] or [Remove].
type Edit struct {
	verb  verb
	at    Path
	key   string
	item  int // where an item goes; -1 is the end
	apart bool
	first bool
	value *yaml.Node
	after []string
}

type verb int

const (
	replacing verb = iota
	inserting
	appending
	removing
	putting
)

// Replace puts text in the place of the scalar at a path; the quotes stay as they are
// where the text allows it.
func Replace(at Path, text string) Edit {
	return Edit{verb: replacing, at: at, value: Scalar(text)}
}

// ReplaceValue puts a value in the place of the scalar at a path; a mapping or a list must be
// on one line.
func ReplaceValue(at Path, value *yaml.Node) Edit {
	return Edit{verb: replacing, at: at, value: clone(value)}
}

// Insert puts a key into the mapping at a path: behind the last named in after of the keys
// that the mapping has, or else at its end. A key that is there with nothing after it is filled;
// any other that is there is an error.
func Insert(at Path, key string, value *yaml.Node, after ...string) Edit {
	return Edit{verb: inserting, at: at, key: key, value: clone(value), after: after}
}

// Append puts an item at the end of the list at a path.
func Append(at Path, item *yaml.Node) Edit {
	return Edit{verb: appending, at: at, item: -1, value: clone(item)}
}

// InsertItem puts an item into the list at a path, before its i-th item, counted from 0; what
// is said above that item stays above it. Where there is no i-th item it is [Append].
func InsertItem(at Path, i int, item *yaml.Node) Edit {
	return Edit{verb: appending, at: at, item: i, value: clone(item)}
}

// Apart is e with a blank line between the item that it puts into a list and the one before,
// where the list itself does not show how its items are set apart.
func (e Edit) Apart() Edit {
	e.apart = true
	return e
}

// OrFirst is e with its key before all others of the mapping where that has none of those
// behind which it goes.
func (e Edit) OrFirst() Edit {
	e.first = true
	return e
}

// Put puts any value in the place of one that stands on one line or between brackets. A
// mapping can take the place of a text that is an item of a list, on lines of its own; what
// is said behind the text then stands behind the last of them.
func Put(at Path, value *yaml.Node) Edit {
	return Edit{verb: putting, at: at, value: clone(value)}
}

// Remove takes out the key or the item that a path ends in, with its value and what is said
// beside it, and its mapping or list too where nothing else is in it. What is said above an
// item stays.
func Remove(at Path) Edit { return Edit{verb: removing, at: at} }

func (e Edit) String() string {
	switch e.verb {
	case replacing:
		return "replace " + e.at.String()
	case inserting:
		return fmt.Sprintf("insert %s into %s", e.key, e.at)
	case removing:
		return "remove " + e.at.String()
	case putting:
		return "put " + e.at.String()
	default:
		return "append to " + e.at.String()
	}
}

// Splice carries out edits on YAML text. It changes no byte but those the edits are about,
// so comments, order, spacing, quotes and line ends stay. Paths are those of data as given,
// whatever the other edits. It refuses to write through an anchor or alias and to replace
// text of several lines, and fails where the result does not parse to exactly the tree that
// was asked for.
func Splice(data []byte, edits ...Edit) ([]byte, error) {
	if len(data) > maxFile {
		return nil, fmt.Errorf("the file is larger than %d MB", maxFile>>20)
	}
	if pos, bad := badText(data); bad != "" {
		return nil, fmt.Errorf("line %d holds %s: want UTF-8 text", pos.Line, bad)
	}
	root, err := parseYAML(data)
	if err != nil {
		return nil, fmt.Errorf("not YAML: %w", err)
	}
	t, err := spliced(data, root, edits)
	return t.Data, err
}

// Tree is the text of a YAML file and its top value as a parser gave it.
type Tree struct {
	Data []byte
	Top  *yaml.Node
}

// Splice is [Splice] of t, which stays as it is, with the tree of what comes out, so that no
// text is parsed twice.
func (t Tree) Splice(edits ...Edit) (Tree, error) { return spliced(t.Data, deepCopy(t.Top), edits) }

// spliced makes the edits; root becomes the tree that is asked for.
func spliced(data []byte, root *yaml.Node, edits []Edit) (Tree, error) {
	s := &splicer{yamlText: newYAMLText(data), root: root, begun: map[*yaml.Node]int{}}
	for _, e := range edits {
		if err := s.edit(e); err != nil {
			return Tree{}, fmt.Errorf("%s: %w", e, err)
		}
	}
	out, err := s.spliced()
	if err != nil {
		return Tree{}, err
	}
	if len(out) > maxFile {
		return Tree{}, fmt.Errorf("the edited text would be larger than %d MB", maxFile>>20)
	}
	if pos, bad := badText(out); bad != "" {
		return Tree{}, fmt.Errorf("line %d of the edited text would hold %s: want UTF-8 text", pos.Line, bad)
	}
	got, err := parseYAML(out)
	if err != nil {
		return Tree{}, fmt.Errorf("the edited text is not YAML: %w", err)
	}
	if n := differs(root, got); n != nil {
		return Tree{}, fmt.Errorf("the edited text would not say what is meant from line %d on", n.Line)
	}
	return Tree{out, got}, nil
}

// deepCopy is n and all below it, at the same places.
func deepCopy(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = make([]*yaml.Node, len(n.Content))
	for i, child := range n.Content {
		c.Content[i] = deepCopy(child)
	}
	return &c
}

// parseYAML is the top value of the one document in data.
func parseYAML(data []byte) (*yaml.Node, error) {
	reader := yaml.NewDecoder(bytes.NewReader(data))
	var root, second yaml.Node
	if err := decode(reader, &root); err != nil {
		return nil, err
	}
	if err := decode(reader, &second); err == nil {
		return nil, errors.New("there is a second document")
	} else if !errors.Is(err, io.EOF) {
		return nil, err
	}
	return root.Content[0], nil
}

// splicer collects the cuts that edits make, all against the text as it was. The tree below
// root becomes the one that is asked for; its new nodes have no line.
type splicer struct {
	yamlText
	root  *yaml.Node
	cuts  []cut
	begun map[*yaml.Node]int // where the entries go of what began as nothing or as []
}

// cut puts text where the bytes from, to were. Of two at one byte the one for the deeper path
// comes first.
type cut struct {
	from, to int
	text     string
	depth    int
}

func (s *splicer) spliced() ([]byte, error) {
	slices.SortStableFunc(s.cuts, func(a, b cut) int { return cmp.Or(a.from-b.from, a.to-b.to, b.depth-a.depth) })
	var out bytes.Buffer
	at := 0
	for _, c := range s.cuts {
		if c.from < at {
			return nil, errors.New("two edits of one place")
		}
		out.Write(s.data[at:c.from])
		out.WriteString(c.text)
		at = c.to
	}
	out.Write(s.data[at:])
	return out.Bytes(), nil
}

// differs is the first node of got that is not as in want.
func differs(want, got *yaml.Node) *yaml.Node {
	if got.Kind != want.Kind || got.ShortTag() != want.ShortTag() || got.Anchor != want.Anchor ||
		got.Value != want.Value || len(got.Content) != len(want.Content) {
		return got
	}
	for i := range want.Content {
		if n := differs(want.Content[i], got.Content[i]); n != nil {
			return n
		}
	}
	return nil
}

// place is a value and what stands around it.
type place struct {
	node   *yaml.Node
	key    *yaml.Node // nil where it is no value of a mapping
	flow   bool       // it stands within {} or []
	indent int        // columns before the key or dash that holds it; -1 at the top
	next   follower
	depth  int
}

// follower is what stands behind a value in a block: its line, and whether it is an item of a
// list. Where nothing does, the line is the one behind the last.
type follower struct {
	line int
	item bool
}

// find follows a path, and refuses one through an anchor or alias, because an edit there
// is an edit in more than one place.
func (s *splicer) find(at Path) (place, error) {
	p := place{node: s.root, indent: -1, next: follower{line: len(s.lines) + 1}}
	for i, step := range at {
		if err := editable(p.node); err != nil {
			return p, err
		}
		child := -1
		switch step := step.(type) {
		case string:
			child = keyOf(p.node, step) + 1
		case int:
			if p.node.Kind == yaml.SequenceNode && step >= 0 {
				child = step
			}
		}
		if child < 0 || child >= len(p.node.Content) || step != child && keyOf(p.node, fmt.Sprint(step)) < 0 {
			return p, fmt.Errorf("%s: there is no such key or item", at[:i+1])
		}
		next := place{node: p.node.Content[child], indent: columnOf(p.node), depth: i + 1, next: p.follower(child)}
		next.flow = p.flow || p.node.Style&yaml.FlowStyle != 0
		if p.node.Kind == yaml.MappingNode {
			next.key = p.node.Content[child-1]
		}
		p = next
	}
	if p.node.Line == 0 {
		return p, errors.New("another edit puts it there")
	}
	return p, editable(p.node)
}

// follower is what stands behind the i-th node of p.
func (p place) follower(i int) follower {
	for _, n := range p.node.Content[i+1:] {
		if n.Line > 0 {
			return follower{n.Line, p.node.Kind == yaml.SequenceNode}
		}
	}
	return p.next
}

// columnOf is the columns before the keys or dashes of n.
func columnOf(n *yaml.Node) int {
	if n.Kind == yaml.MappingNode && len(n.Content) > 0 {
		n = n.Content[0]
	}
	return n.Column - 1
}

func editable(n *yaml.Node) error {
	switch {
	case n.Kind == yaml.AliasNode:
		return fmt.Errorf("line %d: alias *%s stands for what is elsewhere: write it out first", n.Line, n.Value)
	case n.Anchor != "":
		return fmt.Errorf("line %d: anchor &%s may be used elsewhere: write it out first", n.Line, n.Anchor)
	case n.Style&yaml.TaggedStyle != 0:
		return fmt.Errorf("line %d: the value has a tag, %s", n.Line, n.Tag)
	}
	return nil
}

// keyOf is where in n's content a key stands; -1 where it does not.
func keyOf(n *yaml.Node, key string) int {
	if n.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(n.Content); i += 2 {
			if k := n.Content[i]; k.Kind == yaml.ScalarNode && k.Value == key {
				return i
			}
		}
	}
	return -1
}

func clone(n *yaml.Node) *yaml.Node {
	c := *n
	c.Line, c.Column = 0, 0
	c.Content = make([]*yaml.Node, len(n.Content))
	for i, child := range n.Content {
		c.Content[i] = clone(child)
	}
	return &c
}
