package tags

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// Path leads from the top of a YAML file to one of its values: a string is a key of a
// mapping, an int a place in a list, counted from 0.
type Path []any

func (p Path) String() string {
	var s strings.Builder
	for _, step := range p {
		switch step := step.(type) {
		case int:
			fmt.Fprintf(&s, "[%d]", step)
		default:
			if s.Len() > 0 {
				s.WriteByte('.')
			}
			fmt.Fprint(&s, step)
		}
	}
	if s.Len() == 0 {
		return "the top"
	}
	return s.String()
}

// To returns the path with more steps behind it; p stays as it is.
func (p Path) To(steps ...any) Path { return slices.Concat(p, steps) }

// Child returns the value that the steps of a path lead to below n, or nil where there is none. A
// key with nothing behind it has a value, whose tag is !!null.
func Child(n *yaml.Node, path ...any) *yaml.Node {
	for _, step := range path {
		i := -1
		switch step := step.(type) {
		case string:
			if at := keyOf(n, step); at >= 0 {
				i = at + 1
			}
		case int:
			if n.Kind == yaml.SequenceNode && step < len(n.Content) {
				i = step
			}
		}
		if i < 0 {
			return nil
		}
		n = n.Content[i]
	}
	return n
}
