package tags

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"
)

// Remove takes the key that a path ends in, with its value and what is said beside it, out
// of YAML text, and its mapping too where nothing else is in it. Like [Splice], it changes
// no other byte, and fails where the result does not parse to the tree that was asked for.
func Remove(data []byte, at Path) ([]byte, error) {
	s, err := newSplicer(data)
	if err != nil {
		return nil, err
	}
	fail := func(err error) ([]byte, error) { return nil, fmt.Errorf("remove %s: %w", at, err) }
	if len(at) == 0 {
		return fail(errors.New("it is the whole file"))
	}
	if _, err := s.find(at); err != nil {
		return fail(err)
	}
	p, err := s.find(at[:len(at)-1])
	if err != nil {
		return fail(err)
	}
	key, ok := at[len(at)-1].(string)
	if !ok {
		return fail(errors.New("it is no key of a mapping"))
	}
	if p.key != nil && len(p.node.Content) == 2 {
		return Remove(data, at[:len(at)-1])
	}
	i := keyOf(p.node, key)
	from, to, err := s.entry(p, i)
	if err != nil {
		return fail(err)
	}
	out := slices.Concat(data[:from], data[to:])
	p.node.Content = slices.Delete(p.node.Content, i, i+2)
	got, err := parseYAML(out)
	if err != nil {
		return fail(fmt.Errorf("the edited text is not YAML: %w", err))
	}
	if n := s.differs(s.root, got); n != nil {
		return fail(fmt.Errorf("the edited text would not say what is meant from line %d on", n.Line))
	}
	return out, nil
}

// entry is the bytes of the entry of the mapping at p whose key is its i-th node, with
// what separates it from its neighbours.
func (s *splicer) entry(p place, i int) (from, to int, err error) {
	n := p.node
	if from, err = s.offset(n.Content[i]); err != nil {
		return 0, 0, err
	}
	if to, err = s.endOfEntry(p, i+1); err != nil {
		return 0, 0, err
	}
	flow := p.flow || n.Style&yaml.FlowStyle != 0
	line := s.lines[n.Content[i].Line-1]
	shared := len(bytes.TrimSpace(s.data[line:from])) > 0 // with a dash before it
	switch {
	case (flow || shared) && i+2 < len(n.Content):
		to, err = s.offset(n.Content[i+2])
	case flow && i > 0:
		from, err = s.endOfEntry(p, i-1)
	case !flow && !shared:
		if to, err = s.restOfLine(to); err != nil {
			return 0, 0, err
		}
		from = line
		to += breakAt(s.data[to:])
	}
	return from, to, err
}
