package tags

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// yamlText finds where in a text its nodes stand; yaml.v3 tells only where each starts.
type yamlText struct {
	data    []byte
	lines   []int  // where each line starts
	newline string // as the text breaks its lines
}

func newYAMLText(data []byte) yamlText {
	t := yamlText{data: data, newline: "\n"}
	start := 0
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		start = len("\ufeff")
	}
	t.lines = []int{start}
	for i := start; i < len(data); {
		n := breakAt(data[i:])
		if n > 0 {
			t.lines = append(t.lines, i+n)
		}
		if br := string(data[i : i+n]); len(t.lines) == 2 && (br == "\r\n" || br == "\r") {
			t.newline = br
		}
		i += max(n, 1)
	}
	return t
}

// breakAt is how many bytes the line break at the start of b has; 0 where there is none.
func breakAt[T string | []byte](b T) int {
	if len(b) == 0 {
		return 0
	}
	switch at := func(i int, c byte) bool { return i < len(b) && b[i] == c }; b[0] {
	case '\n':
		return 1
	case '\r':
		if at(1, '\n') {
			return 2
		}
		return 1
	case 0xc2: // the first byte of U+0085
		if at(1, 0x85) {
			return 2
		}
	case 0xe2: // of U+2028 and U+2029
		if at(1, 0x80) && (at(2, 0xa8) || at(2, 0xa9)) {
			return 3
		}
	}
	return 0
}

// offset is the byte at which n starts; yaml.v3 counts columns in characters.
func (t yamlText) offset(n *yaml.Node) (int, error) {
	if n.Line < 1 || n.Line > len(t.lines) {
		return 0, fmt.Errorf("line %d is not in the file", n.Line)
	}
	at := t.lines[n.Line-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRune(t.data[at:])
		at += size
	}
	return at, nil
}

// lineEnd is where the line that holds at ends, before its break.
func (t yamlText) lineEnd(at int) int {
	for at < len(t.data) && breakAt(t.data[at:]) == 0 {
		at++
	}
	return at
}

// restOfLine is the end of the line, where nothing but a comment follows at.
func (t yamlText) restOfLine(at int) (int, error) {
	end := t.lineEnd(at)
	rest := bytes.TrimLeft(t.data[at:end], " \t")
	if len(rest) > 0 && (rest[0] != '#' || len(rest) == end-at) {
		return 0, fmt.Errorf("%q stands where a new line would begin", rest)
	}
	return end, nil
}

// scalar is where a text on one line starts and ends, its quotes included.
func (t yamlText) scalar(n *yaml.Node) (from, to int, err error) {
	if from, err = t.offset(n); err != nil {
		return 0, 0, err
	}
	line := t.data[from:t.lineEnd(from)]
	switch {
	case n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		to = quoted(line)
	case n.Style == 0 && bytes.HasPrefix(line, []byte(n.Value)):
		to = len(n.Value)
	}
	if to == 0 {
		return 0, 0, fmt.Errorf("line %d: the text does not stand on one line: change it by hand", n.Line)
	}
	return from, from + to, nil
}

// Replaceable says why [Splice] does not replace the text at n, a node of data; nil where it does.
func Replaceable(data []byte, n *yaml.Node) error {
	if err := editable(n); err != nil || n.Kind != yaml.ScalarNode {
		return err
	}
	_, _, err := newYAMLText(data).scalar(n)
	return err
}

// quoted is the length of the text in quotes at the start of b; 0 where it does not end.
func quoted(b []byte) int {
	for i := 1; i < len(b); i++ {
		switch {
		case b[0] == '"' && b[i] == '\\', b[0] == '\'' && bytes.HasPrefix(b[i:], []byte("''")):
			i++
		case b[i] == b[0]:
			return i + 1
		}
	}
	return 0
}

// afterColon is behind the colon of a key with no value. Where nothing is written, yaml.v3
// gives the place of whatever comes next.
func (t yamlText) afterColon(p place) (int, error) {
	if p.key == nil {
		return 0, fmt.Errorf("line %d: nothing is there that could be replaced", p.node.Line)
	}
	_, at, err := t.scalar(p.key)
	if err != nil {
		return 0, err
	}
	for at < len(t.data) && (t.data[at] == ' ' || t.data[at] == '\t') {
		at++
	}
	if at == len(t.data) || t.data[at] != ':' {
		return 0, fmt.Errorf("line %d: no colon stands behind %q: write one first", p.key.Line, p.key.Value)
	}
	return at + 1, nil
}

// endBefore is where the text ends that stands before next, without the blank lines and
// comments between the two, which may be about what follows.
func (t yamlText) endBefore(next follower) int {
	for line := next.line - 1; line > 0; line-- {
		text := bytes.TrimLeft(t.line(line), " \t")
		if next.item { // its dash may stand on a line of its own
			if rest, ok := bytes.CutPrefix(text, []byte("-")); ok {
				text = bytes.TrimLeft(rest, " \t")
			}
		}
		if len(text) > 0 && text[0] != '#' && string(text) != "..." {
			return t.lineEnd(t.lines[line-1])
		}
	}
	return 0
}

// line is the text of a line, counted from 1, without its break.
func (t yamlText) line(n int) []byte {
	from := t.lines[n-1]
	return t.data[from:t.lineEnd(from)]
}

// blankBetween reports whether a blank line stands before the line of an item and behind that
// of the item before it, with nothing but comments between.
func (t yamlText) blankBetween(before, item int) bool {
	for n := item - 1; n > before; n-- {
		text := bytes.TrimSpace(t.line(n))
		if len(text) == 0 {
			return true
		}
		if text[0] != '#' {
			return false
		}
	}
	return false
}

// endOfText is where a text begun by | or > at a byte ends, its last line break left out;
// holder is the columns before the key or dash that it belongs to.
func (t yamlText) endOfText(at, holder int) int {
	end := t.lineEnd(at)
	header, _, _ := bytes.Cut(t.data[at:end], []byte(" "))
	for at = end + breakAt(t.data[end:]); at < len(t.data); at += breakAt(t.data[at:]) {
		from := at
		at = t.lineEnd(at)
		lead := at - from - len(bytes.TrimLeft(t.data[from:at], " "))
		blank := from+lead == at
		if !blank && lead <= holder {
			break
		}
		if !blank || bytes.Contains(header, []byte("+")) || lead > holder+1 {
			end = at
		}
	}
	return end
}

// entries is where each entry of the {} or [] at a byte ends.
func (t yamlText) entries(at int) (ends []int, err error) {
	if t.data[at] != '{' && t.data[at] != '[' {
		return nil, errors.New("it stands without its brackets")
	}
	depth, end, within := 0, 0, false // within an entry, which ends at end as far as was read
	fresh := false                    // a quote here begins a text in quotes
	for i := at; i < len(t.data); i++ {
		if n := blankAt(t.data[i:]); n > 0 {
			i, fresh = i+n-1, true
			continue
		}
		before := t.data[i-min(i, 1)]
		switch c := t.data[i]; {
		case c == '#' && fresh && before != ',':
			i = t.lineEnd(i) - 1
			continue
		case (c == '"' || c == '\'') && fresh:
			n := quoted(t.data[i:])
			if n == 0 {
				return nil, errors.New("found no end of the quotes")
			}
			i += n - 1
			fresh = false
		case c == '{' || c == '[':
			depth++
			fresh = true
			if depth == 1 {
				continue
			}
		case c == '}' || c == ']':
			depth--
			fresh = false
			if depth == 0 {
				if within {
					ends = append(ends, end)
				}
				return ends, nil
			}
		case c == ',':
			fresh = true
			if depth == 1 {
				ends, within = append(ends, end), false
				continue
			}
		default:
			fresh = c == ':' && strings.IndexByte(`"'}]`, before) >= 0
		}
		end, within = i+1, true
	}
	return nil, errors.New("found no end of its brackets")
}

// blankAt is how many bytes the blank or line break at the start of b has; 0 where there is
// none.
func blankAt(b []byte) int {
	if b[0] == ' ' || b[0] == '\t' {
		return 1
	}
	return breakAt(b)
}
