package tags

import (
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// source is the lines of a file, as YAML counts them.
type source []string

func newSource(data []byte) source {
	if len(data) > maxFile {
		return nil
	}
	var s source
	text := strings.TrimPrefix(string(data), "\uFEFF")
	begun := 0
	for i := 0; i < len(text); {
		n := breakAt(text[i:])
		if n > 0 {
			s = append(s, text[begun:i])
			begun = i + n
		}
		i += max(n, 1)
	}
	return append(s, text[begun:])
}

// fromColumn is a line from a column on, counted in characters from 1; false where it has none.
func fromColumn(line string, column int) (string, bool) {
	for range column - 1 {
		_, size := utf8.DecodeRuneInString(line)
		if size == 0 {
			return "", false
		}
		line = line[size:]
	}
	return line, column >= 1
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
	if rest, ok := fromColumn(d.lines[n.Line-1], column); !ok || !strings.HasPrefix(rest, text) {
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
