package tags

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"
)

// remove takes the key that a path ends in out of its mapping, with its value, and the
// mapping too where nothing else is in it.
func (s *splicer) remove(at Path) error {
	if len(at) == 0 {
		return errors.New("it is the whole file")
	}
	if _, err := s.find(at); err != nil {
		return err
	}
	p, err := s.find(at[:len(at)-1])
	if err != nil {
		return err
	}
	key, ok := at[len(at)-1].(string)
	if !ok {
		return s.removeItem(p, at)
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

// removeItem takes the item that a path ends in out of the list at p, and the list too where
// nothing else is in it.
func (s *splicer) removeItem(p place, at Path) error {
	i := at[len(at)-1].(int)
	if p.key != nil && len(p.node.Content) == 1 {
		return s.remove(at[:len(at)-1])
	}
	from, to, err := s.item(p, i)
	if err != nil {
		return err
	}
	p.node.Content = slices.Delete(p.node.Content, i, i+1)
	s.cuts = append(s.cuts, cut{from: from, to: to, depth: p.depth})
	return nil
}

// item is the bytes of the i-th item of the list at p, with what separates it from its
// neighbours: of blank lines on both sides those before it.
func (s *splicer) item(p place, i int) (from, to int, err error) {
	n := p.node
	if p.flow || n.Style&yaml.FlowStyle != 0 {
		at, err := s.offset(n)
		if err != nil {
			return 0, 0, err
		}
		ends, err := s.entries(at)
		if err != nil || i >= len(ends) {
			return 0, 0, errors.Join(err, errors.New("not all between its brackets could be told apart"))
		}
		if i > 0 {
			return ends[i-1], ends[i], nil
		}
		from, err = s.offset(n.Content[0])
		if err == nil && len(n.Content) > 1 {
			if to, err = s.offset(n.Content[1]); err == nil && bytes.ContainsRune(s.data[ends[0]:to], '#') {
				to = ends[0] + bytes.IndexByte(s.data[ends[0]:], ',') + 1 // what is said there stays
			}
			return from, to, err
		}
		return from, ends[0], err
	}
	indent := columnOf(n)
	line := s.line(n.Content[i].Line)
	if lead := bytes.TrimLeft(line, " "); len(line)-len(lead) != indent || !bytes.HasPrefix(lead, []byte("-")) {
		return 0, 0, fmt.Errorf("line %d: the item does not begin its line: take it out by hand", n.Content[i].Line)
	}
	end, err := s.endOf(p, i)
	if err != nil {
		return 0, 0, err
	}
	from, to = s.lines[n.Content[i].Line-1], end+breakAt(s.data[end:])
	if i == 0 {
		for next := p.follower(0); s.blankAfter(to, next.line); {
			to = s.lineEnd(to)
			to += breakAt(s.data[to:])
		}
		return from, to, nil
	}
	for above := n.Content[i].Line - 1; above > 0 && len(bytes.TrimSpace(s.line(above))) == 0; above-- {
		from = s.lines[above-1]
	}
	return from, to, nil
}

// blankAfter reports whether a blank line begins at a byte, above a line.
func (s *splicer) blankAfter(at, line int) bool {
	return at < len(s.data) && line <= len(s.lines) && at < s.lines[line-1] && len(bytes.TrimSpace(s.data[at:s.lineEnd(at)])) == 0
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
