package tags

import (
	"bytes"
	"errors"
	"slices"

	"gopkg.in/yaml.v3"
)

// remove takes the key that a path ends in out of its mapping, with its value, and the
// mapping too where nothing else is in it.
func (s *splicer) remove(at Path) error {
	if len(at) == 0 {
		return errors.New("it is the whole file")
	}
	key, ok := at[len(at)-1].(string)
	if !ok {
		return errors.New("it is no key of a mapping")
	}
	if _, err := s.find(at); err != nil {
		return err
	}
	p, err := s.find(at[:len(at)-1])
	if err != nil {
		return err
	}
	if p.key != nil && len(p.node.Content) == 2 {
		return s.remove(at[:len(at)-1])
	}
	i := keyOf(p.node, key)
	from, to, err := s.entry(p, i)
	if err != nil {
		return err
	}
	p.node.Content = slices.Delete(p.node.Content, i, i+2)
	s.cuts = append(s.cuts, cut{from: from, to: to, depth: p.depth})
	return nil
}

// entry is the bytes of the entry of the mapping at p whose key is its i-th node, with what
// separates it from its neighbours.
func (s *splicer) entry(p place, i int) (from, to int, err error) {
	n := p.node
	if from, err = s.offset(n.Content[i]); err != nil {
		return 0, 0, err
	}
	last := i+2 == len(n.Content)
	if p.flow || n.Style&yaml.FlowStyle != 0 {
		if !last {
			to, err = s.offset(n.Content[i+2])
			return from, to, err
		}
		at, err := s.offset(n)
		if err != nil {
			return 0, 0, err
		}
		ends, err := s.entries(at)
		if err != nil {
			return 0, 0, err
		}
		if i > 0 {
			from = ends[i/2-1]
		}
		return from, ends[i/2], nil
	}
	line := s.lines[n.Content[i].Line-1]
	if len(bytes.TrimSpace(s.data[line:from])) > 0 && !last { // behind a dash
		to, err = s.offset(n.Content[i+2])
		return from, to, err
	}
	to = s.endBefore(p.follower(i + 1))
	return line, to + breakAt(s.data[to:]), nil
}
