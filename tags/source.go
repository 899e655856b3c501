package tags

import (
	"regexp"
	"strings"

	"gopkg.in/yaml.v3"
)

// source is the lines of a file, as YAML counts them.
type source [][]rune

var lineEnd = regexp.MustCompile("\r\n|[\n\r\u0085\u2028\u2029]")

func newSource(data []byte) source {
	if len(data) > maxFile {
		return nil
	}
	var s source
	for _, line := range lineEnd.Split(strings.TrimPrefix(string(data), "\uFEFF"), -1) {
		s = append(s, []rune(line))
	}
	return s
}

// term is text, which begins at character n of a node's value, with its place.
func (s source) term(d *Decoder, n *yaml.Node, at int, text string) Term {
	t := Term{Pos: d.Pos(n), Text: text}
	if n.Line < 1 || n.Line > len(s) {
		return t
	}
	column := n.Column + at
	if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		column++
	}
	line := s[n.Line-1]
	if from := column - 1; from >= 0 && from <= len(line) && strings.HasPrefix(string(line[from:]), text) {
		t.Pos.Column, t.exact = column, true
	}
	return t
}
