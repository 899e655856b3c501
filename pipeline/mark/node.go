package mark

import (
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// child is the value of a key in a mapping; nil where there is none, or nothing behind it.
func child(n *yaml.Node, key string) *yaml.Node {
	if v := tags.Child(n, key); v != nil && (v.Kind != yaml.ScalarNode || v.ShortTag() != "!!null") {
		return v
	}
	return nil
}

// valueNode is the value of a field as a tag file writes it.
func valueNode(rep bool, f Field, text string) *yaml.Node {
	keys := f.Keys()
	switch last := keys[len(keys)-1]; {
	case f == "draw":
		return drawingNodes(text)
	case keys[0] == "spot", f == "move", f == "did", f == "saw", f == "tells":
		list := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
		for item := range strings.SplitSeq(text, listSign) {
			if keys[0] == "spot" {
				list.Content = append(list.Content, tags.Bare(item))
				continue
			}
			list.Content = append(list.Content, tags.Scalar(item))
		}
		return list
	case (keys[0] == "marks" || rep && (last == "in" || last == "out")) && strings.HasSuffix(text, "0s") && strings.Contains(text, "."):
		return tags.Bare(strings.TrimSuffix(text, "0s") + "s") // to the hundredth, as people write it
	case keys[0] == "marks", keys[0] == "angles", last == "in", last == "out":
		return tags.Bare(text)
	case !rep && quotedText(f, text):
		return tags.Quoted(text)
	}
	return tags.Scalar(text)
}

// quotedText reports whether a text of a play looks like a number and is a name, as personnel
// "11" is.
func quotedText(f Field, text string) bool {
	pf, ok := playField[f]
	if !ok || pf.Kind != tags.KindText {
		return false
	}
	_, err := strconv.ParseFloat(text, 64)
	return err == nil
}

// before returns the keys that stand before the last key of way in its mapping. Angles are the
// game's, in order.
func before(rep bool, way, angles []string) []string {
	key := way[len(way)-1]
	var order []string
	switch {
	case len(way) == 1 && !rep:
		return tags.PlayKeysBefore(key)
	case len(way) == 1:
		order = repKeys
	case way[0] == "marks":
		order = tags.MarkNames()
	case len(way) == 2 && (way[0] == "angles" || way[0] == "spot"):
		order = angles
	case way[0] == "angles" && len(way) == 3:
		order = angleKeys
	case rep:
		for _, rf := range tags.RepFields {
			if rf.Under == way[0] {
				order = append(order, rf.FileKey())
			}
		}
	}
	if i := slices.Index(order, key); i >= 0 {
		return order[:i]
	}
	return order
}

// set returns the edits that put value where way leads below n, which stands at at. They come in
// stages: the paths of each stage are those of the file after the stage before.
func set(n *yaml.Node, at tags.Path, rep bool, way, angles []string, value *yaml.Node) (stages [][]tags.Edit) {
	for i, key := range way {
		next := child(n, key)
		here := way[:i+1]
		if next == nil {
			for j := len(way) - 1; j > i; j-- {
				held := &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{tags.Scalar(way[j]), value}}
				if way[j-1] != "angles" {
					held.Style = yaml.FlowStyle
				}
				value = held
			}
			return [][]tags.Edit{{tags.Insert(at, key, value, before(rep, here, angles)...).OrFirst()}}
		}
		at = at.To(key)
		n = next
	}
	if n.Kind == yaml.ScalarNode && n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) == 0 || n.Style&yaml.FlowStyle != 0 {
		return [][]tags.Edit{{tags.Put(at, value)}}
	}
	parent := at[:len(at)-1]
	key := way[len(way)-1]
	return [][]tags.Edit{{tags.Remove(at)}, {tags.Insert(parent, key, value, before(rep, way, angles)...).OrFirst()}}
}

// built is a new play or rep as a person writes it: first says which it is, order is the
// fields in the order of a tag file.
func built(rep bool, first Value, values []Value, order []Field) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{tags.Scalar(string(first.Field)), tags.Scalar(first.Text)}}
	place := func(f Field) int {
		if i := slices.Index(order, f); i >= 0 {
			return i
		}
		return len(order)
	}
	sorted := slices.SortedStableFunc(slices.Values(values), func(a, b Value) int { return place(a.Field) - place(b.Field) })
	for _, v := range sorted {
		if v.Text == "" || v.Field == first.Field {
			continue
		}
		under := n
		keys := v.Field.Keys()
		for i, key := range keys[:len(keys)-1] {
			next := child(under, key)
			if next == nil {
				next = &yaml.Node{Kind: yaml.MappingNode}
				if i > 0 || key != "angles" {
					next.Style = yaml.FlowStyle
				}
				under.Content = append(under.Content, tags.Scalar(key), next)
			}
			under = next
		}
		under.Content = append(under.Content, tags.Scalar(keys[len(keys)-1]), valueNode(rep, v.Field, v.Text))
	}
	return n
}
