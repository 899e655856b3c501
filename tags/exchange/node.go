package exchange

import (
	"strconv"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// node is a field's value as a person would write it.
func (f field) node(text string) *yaml.Node {
	if _, err := strconv.Atoi(text); err == nil && f.quoted() {
		return tags.Quoted(text)
	}
	return tags.Scalar(text)
}

// mappingOf is {in: 0:00:01.000, out: 0:00:05.000}, on one line.
func mappingOf(values []value) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, v := range values {
		n.Content = append(n.Content, tags.Scalar(v.key), v.node())
	}
	return n
}

// onFilm is what is said of an angle in the order in which a tag file has it.
func onFilm(said map[string]value) []value {
	var values []value
	for _, key := range onAngle {
		if v, ok := said[key]; ok {
			values = append(values, v)
		}
	}
	return values
}

func sayAll(values []value) []string {
	said := make([]string, len(values))
	for i, v := range values {
		said[i] = v.key + " " + short(v.text)
	}
	return said
}

// node is v as a person would write it.
func (v value) node() *yaml.Node {
	if v.at != nil {
		return tags.Bare(v.text)
	}
	return tags.Scalar(v.text)
}
