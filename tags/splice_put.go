package tags

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// put puts value in the place of what stands at p, on one line or between brackets.
func (s *splicer) put(p place, value *yaml.Node) error {
	n := p.node
	block := value.Kind != yaml.ScalarNode && value.Style&yaml.FlowStyle == 0 && len(value.Content) > 0
	switch {
	case n.Kind == yaml.ScalarNode && (p.key != nil || !block || p.flow):
		return s.replace(p, value)
	case n.Kind != yaml.ScalarNode && n.Style&yaml.FlowStyle == 0:
		return errors.New("it stands on lines of its own")
	case n.Kind != yaml.ScalarNode && block && p.key != nil:
		return fmt.Errorf("line %d: it stands where a block would begin", n.Line)
	case anchored(n):
		return fmt.Errorf("line %d: an anchor in it may be used elsewhere: write it out first", n.Line)
	}
	from, to, err := s.extent(n)
	if err != nil {
		return err
	}
	if block {
		if _, err := s.restOfLine(to); err != nil {
			return err
		}
	}
	if err := restyle(value, p.flow); err != nil {
		return err
	}
	text := s.write([]*yaml.Node{value}, p.indent, p.flow)
	if !p.flow {
		text = strings.TrimPrefix(text, "- ")
	}
	line, column := n.Line, n.Column
	*n = *value
	n.Line, n.Column = line, column
	s.cuts = append(s.cuts, cut{from, to, text, p.depth})
	return nil
}

// extent is where a text on one line, or what stands between brackets, starts and ends.
func (s *splicer) extent(n *yaml.Node) (from, to int, err error) {
	if n.Kind == yaml.ScalarNode {
		return s.scalar(n)
	}
	if from, err = s.offset(n); err != nil {
		return 0, 0, err
	}
	ends, err := s.entries(from)
	if err != nil {
		return 0, 0, fmt.Errorf("line %d: %w", n.Line, err)
	}
	to = from + 1
	if len(ends) > 0 {
		to = ends[len(ends)-1]
	}
	for ; to < len(s.data) && s.data[to] != ']' && s.data[to] != '}'; to++ {
		if s.data[to] == '#' {
			return 0, 0, fmt.Errorf("line %d: a comment stands before its last bracket: change it by hand", n.Line)
		}
	}
	return from, to + 1, nil
}

// anchored reports whether n or anything in it has an anchor.
func anchored(n *yaml.Node) bool {
	if slices.ContainsFunc(n.Content, anchored) {
		return true
	}
	return n.Anchor != ""
}
