package tags

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

func (s *splicer) edit(e Edit) error {
	if e.verb == removing {
		return s.remove(e.at)
	}
	p, err := s.find(e.at)
	if err != nil {
		return err
	}
	n := p.node
	switch e.verb {
	case replacing:
		if n.Kind != yaml.ScalarNode {
			return errors.New("it is no single value")
		}
		return s.replace(p, e.value)
	case putting:
		return s.put(p, e.value)
	case appending:
		if n.Kind != yaml.SequenceNode && !empty(n) {
			return errors.New("it is no list")
		}
		at := len(n.Content)
		if e.item >= 0 {
			at = min(e.item, at)
		}
		return s.grow(p, at, []*yaml.Node{e.value}, e.apart)
	}
	if n.Kind != yaml.MappingNode && !empty(n) {
		return errors.New("it is no mapping")
	}
	if keyOf(n, "<<") >= 0 {
		return fmt.Errorf("line %d: what comes in by << may be used elsewhere: write it out first", n.Line)
	}
	if i := keyOf(n, e.key); i >= 0 {
		if there := n.Content[i+1]; !empty(there) || there.Line == 0 {
			return fmt.Errorf("the key is there, at line %d", n.Content[i].Line)
		}
		if p, err = s.find(append(slices.Clone(e.at), e.key)); err != nil {
			return err
		}
		return s.replace(p, e.value)
	}
	at := len(n.Content)
	last := -1
	for _, key := range e.after {
		if i := keyOf(n, key); i >= 0 {
			last = i
		}
	}
	if last >= 0 {
		at = last + 2
	} else if e.first {
		at = 0
	}
	return s.grow(p, at, []*yaml.Node{Scalar(e.key), e.value}, false)
}

// replace puts value in the place of the scalar at p, which may be nothing at all.
func (s *splicer) replace(p place, value *yaml.Node) error {
	n := p.node
	var from, to int
	var err error
	if empty(n) && n.Value == "" {
		if from, err = s.afterColon(p); err != nil {
			return err
		}
		to = from
	} else if from, to, err = s.scalar(n); err != nil {
		return err
	}
	if value.Kind == yaml.ScalarNode {
		if quotes := n.Style & (yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle); quotes != 0 {
			value.Style = quotes
		} else if !empty(n) && !natural(n.Value) {
			value.Style = plain // which was somebody's way
		}
	}
	if err := restyle(value, p.flow); err != nil {
		return err
	}
	text := strings.TrimPrefix(s.write([]*yaml.Node{Scalar("k"), value}, p.indent, p.flow), "k:")
	switch {
	case from != to && strings.HasPrefix(text, s.newline):
		return fmt.Errorf("line %d: %q stands where a block would begin", n.Line, n.Value)
	case strings.HasPrefix(text, s.newline): // what is said of the key stays beside it
		if from, err = s.restOfLine(to); err != nil {
			return err
		}
		to = from
	case from != to:
		text = strings.TrimPrefix(text, " ")
	}
	line, column := n.Line, n.Column
	*n = *value
	n.Line, n.Column = line, column
	s.cuts = append(s.cuts, cut{from, to, text, p.depth})
	return nil
}

// grow puts a key with its value, or an item, into the mapping or list at p, before its i-th
// node; apart is of [Edit.Apart].
func (s *splicer) grow(p place, i int, nodes []*yaml.Node, apart bool) error {
	n := p.node
	kind := yaml.SequenceNode
	if len(nodes) == 2 {
		kind = yaml.MappingNode
	}
	for i < len(n.Content) && n.Content[i].Line == 0 { // behind what other edits put there
		i++
	}
	old := i - 1
	for old >= 0 && n.Content[old].Line == 0 {
		old--
	}
	inFlow := p.flow || n.Style&yaml.FlowStyle != 0
	_, begun := s.begun[n]
	// Plays have a line for each key, so [] becomes a list of lines.
	lines := kind == yaml.SequenceNode && nodes[0].Kind == yaml.MappingNode && p.key != nil && !p.flow && s.bare(n)
	if kind == yaml.SequenceNode && !begun && old >= 0 && n.Content[old].Style&yaml.FlowStyle != 0 && nodes[0].Kind != yaml.ScalarNode {
		nodes[0].Style |= yaml.FlowStyle // as the last item is
	}
	for _, node := range nodes {
		if err := restyle(node, inFlow && !lines && !begun); err != nil {
			return err
		}
	}
	var c cut
	var err error
	switch {
	case begun, lines, n.Kind == yaml.ScalarNode:
		c, err = s.begin(p, nodes)
	case n.Style&yaml.FlowStyle != 0:
		c, err = s.growFlow(p, old, nodes, i == 0)
	case old < 0:
		c, err = s.growBefore(p, nodes, apart)
	default:
		c, err = s.growBlock(p, old, nodes, apart)
	}
	if err != nil {
		return err
	}
	c.depth = p.depth
	s.cuts = append(s.cuts, c)
	n.Kind, n.Tag, n.Value = kind, "", ""
	n.Content = slices.Insert(n.Content, i, nodes...)
	return nil
}

// begin puts the first entries of a mapping or list on lines below its key, in the place of
// nothing or [].
func (s *splicer) begin(p place, nodes []*yaml.Node) (cut, error) {
	at, ok := s.begun[p.node]
	if !ok {
		from, to, err := s.nothing(p)
		if err == nil {
			at, err = s.restOfLine(to)
		}
		if err != nil {
			return cut{}, err
		}
		if to == at && from < to && s.data[from-1] == ' ' {
			from-- // or the line would end in a space
		}
		s.cuts = append(s.cuts, cut{from: from, to: to})
		s.begun[p.node], p.node.Style = at, 0
	}
	return cut{from: at, to: at, text: s.newline + spaces(p.indent+step) + s.write(nodes, p.indent+step, false)}, nil
}

// nothing is where nothing or [] stands behind the key at p.
func (s *splicer) nothing(p place) (from, to int, err error) {
	if p.flow || p.node.Value != "" {
		return 0, 0, fmt.Errorf("line %d: there is no mapping or list to put it into", p.node.Line)
	}
	if p.node.Kind == yaml.ScalarNode {
		from, err = s.afterColon(p)
		return from, from, err
	}
	from, err = s.offset(p.node)
	return from, from + bytes.IndexByte(s.data[from:], ']') + 1, err
}

// bare reports whether n is an empty list on one line, with no comment within.
func (s *splicer) bare(n *yaml.Node) bool {
	at, err := s.offset(n)
	if err != nil || len(n.Content) > 0 {
		return false
	}
	rest, open := bytes.CutPrefix(s.data[at:], []byte("["))
	return open && bytes.HasPrefix(bytes.TrimLeft(rest, " \t"), []byte("]"))
}

// growFlow puts an entry into {} or [] behind its node old; -1 is at the start, first before
// all that is there and that other edits put there.
func (s *splicer) growFlow(p place, old int, nodes []*yaml.Node, first bool) (cut, error) {
	at, err := s.offset(p.node)
	if err != nil {
		return cut{}, err
	}
	ends, err := s.entries(at)
	if err != nil {
		return cut{}, fmt.Errorf("line %d: %w", p.node.Line, err)
	}
	at++
	entry := -1 // that old is of
	for _, n := range p.node.Content[:old+1] {
		if n.Line > 0 {
			entry++
		}
	}
	if len(nodes) == 2 {
		entry = (entry+1)/2 - 1
	}
	if entry >= len(ends) {
		return cut{}, fmt.Errorf("line %d: not all between its brackets could be told apart", p.node.Line)
	}
	if entry >= 0 {
		at = ends[entry]
	}
	text := s.write(nodes, 0, true)
	switch {
	case len(p.node.Content) == 0:
	case first:
		text += ", "
	default:
		text = ", " + text
	}
	if s.data[at-1] == ':' {
		text = " " + text // a colon and a comma would be a text of their own
	}
	return cut{from: at, to: at, text: text}, nil
}

// growBlock puts an entry on lines of its own behind the node old of a mapping or list.
func (s *splicer) growBlock(p place, old int, nodes []*yaml.Node, apart bool) (cut, error) {
	end, err := s.endOf(p, old)
	if err != nil {
		return cut{}, err
	}
	if end == len(s.data) && s.inText(p, old) {
		return cut{}, fmt.Errorf("line %d: the file ends within this text: end its last line first", p.node.Content[old].Line)
	}
	gap, indent := s.newline, columnOf(p.node)
	if p.node.Kind == yaml.SequenceNode && !s.inText(p, old) && s.setApart(p.node, old, apart) {
		gap += s.newline
	}
	return cut{from: end, to: end, text: gap + spaces(indent) + s.write(nodes, indent, false)}, nil
}

// growBefore puts an entry on lines of its own before all that a block holds.
func (s *splicer) growBefore(p place, nodes []*yaml.Node, apart bool) (cut, error) {
	first := p.node.Content[0]
	indent := columnOf(p.node)
	at := s.lines[first.Line-1]
	if p.key != nil {
		if at = s.lineEnd(s.lines[p.key.Line-1]); at >= s.lines[first.Line-1] {
			return cut{}, fmt.Errorf("line %d: nothing can be put before this", first.Line)
		}
		at += breakAt(s.data[at:])
	} else if len(bytes.Trim(s.line(first.Line)[:min(indent, len(s.line(first.Line)))], " ")) > 0 {
		return cut{}, fmt.Errorf("line %d: nothing can be put before this", first.Line)
	}
	gap := s.newline
	if p.node.Kind == yaml.SequenceNode && s.setApart(p.node, 0, apart) {
		gap += s.newline
	}
	return cut{from: at, to: at, text: spaces(indent) + s.write(nodes, indent, false) + gap}, nil
}

// setApart reports whether a blank line stands between the items of a list around its i-th;
// unknown is what holds where the list does not show that.
func (s *splicer) setApart(n *yaml.Node, i int, unknown bool) bool {
	pair := func(before, item int) (apart, shown bool) {
		if before < 0 || item >= len(n.Content) || n.Content[before].Line == 0 || n.Content[item].Line == 0 {
			return false, false
		}
		return s.blankBetween(n.Content[before].Line, n.Content[item].Line), true
	}
	if apart, shown := pair(i-1, i); shown {
		return apart
	}
	if apart, shown := pair(i, i+1); shown && apart {
		return apart
	}
	return unknown
}

// inText reports whether the i-th node of the block at p ends in a text begun by | or >.
func (s *splicer) inText(p place, i int) bool {
	last, _ := lastLeaf(p.node.Content[i], columnOf(p.node))
	return last.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0
}

// endOf is where the i-th node of the block at p ends, before its line break.
func (s *splicer) endOf(p place, i int) (int, error) {
	last, holder := lastLeaf(p.node.Content[i], columnOf(p.node))
	if !s.inText(p, i) {
		return s.endBefore(p.follower(i)), nil
	}
	from, err := s.offset(last)
	return s.endOfText(from, holder), err
}

// lastLeaf is the last scalar of n in the text, and the columns before the key or dash that
// holds it.
func lastLeaf(n *yaml.Node, holder int) (*yaml.Node, int) {
	for i := len(n.Content) - 1; i >= 0; i-- {
		if n.Content[i].Line > 0 {
			return lastLeaf(n.Content[i], columnOf(n))
		}
	}
	return n, holder
}
