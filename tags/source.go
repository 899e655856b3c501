package tags

import (
	"regexp"
	"strings"
	"unicode/utf8"

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
func (d *Decoder) term(n *yaml.Node, at int, text string) Term {
	pos, exact := d.within(n, at, text)
	return Term{Pos: pos, Text: text, exact: exact}
}

// within is where text stands that begins at character at of a node's value; the node's own
// place, and false, where the file does not show it there as it is.
func (d *Decoder) within(n *yaml.Node, at int, text string) (Pos, bool) {
	pos := d.Pos(n)
	if d.lines == nil {
		d.lines = newSource(d.data)
	}
	if n.Line < 1 || n.Line > len(d.lines) {
		return pos, false
	}
	column := n.Column + at
	if n.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		column++
	}
	line := d.lines[n.Line-1]
	if from := column - 1; from < 0 || from > len(line) || !strings.HasPrefix(string(line[from:]), text) {
		return pos, false
	}
	pos.Column = column
	return pos, true
}

// place is where text stands that begins at a byte of a node's value, as far as the file
// shows it there; otherwise the node's own place.
func (d *Decoder) place(n *yaml.Node, at int, text string) Pos {
	if n.Kind != yaml.ScalarNode {
		return d.Pos(n)
	}
	pos, _ := d.within(n, utf8.RuneCountInString(n.Value[:at]), text)
	return pos
}
