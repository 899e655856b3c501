package tags

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Scalar is text as a value to write: plain where a person would write it so and it
// reads back as the same text, else in quotes.
func Scalar(text string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Value: text} }

// Quoted is text as a value to write in quotes, as one writes "11" for a name that looks
// like a number.
func Quoted(text string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: text, Style: yaml.DoubleQuotedStyle}
}

// Bare is text as a value to write without quotes wherever that reads back as the same
// text, as one writes a time on film.
func Bare(text string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: text, Style: plain}
}

// plain marks a scalar that is to be written without quotes although a person would use some;
// no style of yaml.v3 says so.
const plain yaml.Style = 1 << 20

// step is how far a block stands in from what holds it.
const step = 2

func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// write is a key with its value, or an item with its dash, as it stands in a mapping or list
// at indent, the first line without it; in flow, as it stands between the brackets.
func (t yamlText) write(nodes []*yaml.Node, indent int, flow bool) string {
	value := nodes[len(nodes)-1]
	text, gap := "", " "
	switch inline := flow || value.Style&yaml.FlowStyle != 0 || len(value.Content) == 0; {
	case value.Kind == yaml.ScalarNode:
		text = scalarText(value)
	case inline && value.Kind == yaml.MappingNode:
		text = "{" + strings.Join(t.entriesOf(value, 0, true), ", ") + "}"
	case inline:
		text = "[" + strings.Join(t.entriesOf(value, 0, true), ", ") + "]"
	default:
		line := t.newline + spaces(indent+step)
		text = strings.Join(t.entriesOf(value, indent+step, false), line)
		if len(nodes) == 2 {
			gap = line
		}
	}
	switch {
	case len(nodes) == 2:
		return scalarText(nodes[0]) + ":" + gap + text
	case flow:
		return text
	default:
		return "- " + text
	}
}

func (t yamlText) entriesOf(n *yaml.Node, indent int, flow bool) []string {
	size := 1
	if n.Kind == yaml.MappingNode {
		size = 2
	}
	var entries []string
	for entry := range slices.Chunk(n.Content, size) {
		entries = append(entries, t.write(entry, indent, flow))
	}
	return entries
}

// restyle chooses the quotes of every scalar in a new node: none, where the text reads back
// as itself and a person would write it so. It refuses what cannot be written.
func restyle(n *yaml.Node, flow bool) error {
	flow = flow || n.Style&yaml.FlowStyle != 0
	for _, child := range n.Content {
		if err := restyle(child, flow); err != nil {
			return err
		}
	}
	switch {
	case n.Kind == yaml.MappingNode, n.Kind == yaml.SequenceNode:
		return nil
	case n.Kind != yaml.ScalarNode:
		return errors.New("the value to write is no text, mapping or list")
	case !utf8.ValidString(n.Value):
		return fmt.Errorf("%q is not UTF-8 text", n.Value)
	}
	asked := n.Style
	n.Tag, n.Style = "", 0
	switch {
	case strings.IndexFunc(n.Value, hidden) >= 0, asked&yaml.DoubleQuotedStyle != 0:
		n.Style = yaml.DoubleQuotedStyle
	case asked&yaml.SingleQuotedStyle != 0:
		n.Style = yaml.SingleQuotedStyle
	case (asked == plain || natural(n.Value)) && readsPlain(n.Value, flow):
	case strings.ContainsAny(n.Value, `"\`) && !strings.Contains(n.Value, "'"):
		n.Style = yaml.SingleQuotedStyle
	default:
		n.Style = yaml.DoubleQuotedStyle
	}
	return nil
}

func scalarText(n *yaml.Node) string {
	switch n.Style {
	case yaml.SingleQuotedStyle:
		return "'" + strings.ReplaceAll(n.Value, "'", "''") + "'"
	case yaml.DoubleQuotedStyle:
	default:
		return n.Value
	}
	var out strings.Builder
	for _, r := range n.Value {
		switch {
		case r == '"' || r == '\\':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r == '\n':
			out.WriteString(`\n`)
		case r == '\t':
			out.WriteString(`\t`)
		case hidden(r):
			fmt.Fprintf(&out, `\U%08X`, r)
		default:
			out.WriteRune(r)
		}
	}
	return `"` + out.String() + `"`
}

// natural reports whether a person would write text without quotes: not what another
// reader of YAML takes for a number other than the one it shows, such as 091, or for
// minutes, such as 11:32.
func natural(text string) bool {
	if strings.Trim(text, "0123456789:.+-") == "" && strings.Contains(text, ":") {
		return false
	}
	switch n := Scalar(text); n.ShortTag() {
	case "!!str", "!!bool", "!!timestamp":
		return true
	case "!!int":
		v, err := strconv.Atoi(text)
		return err == nil && strconv.Itoa(v) == text
	default:
		return false
	}
}

// readsPlain reports whether text without quotes is read back as itself.
func readsPlain(text string, flow bool) bool {
	if simple.MatchString(text) && !empty(Scalar(text)) {
		return true // to ask the parser of every word takes long
	}
	line := "k: " + text
	if flow {
		line = "{" + line + "}"
	}
	top, err := parseYAML([]byte(line))
	if err != nil || top.Kind != yaml.MappingNode || len(top.Content) != 2 {
		return false
	}
	v := top.Content[1]
	return v.Kind == yaml.ScalarNode && v.Style == 0 && v.Value == text && v.Anchor == "" && !empty(v)
}

// simple is text in which nothing means anything to YAML.
var simple = regexp.MustCompile(`^[A-Za-z0-9]+(?:[ -][A-Za-z0-9]+)*$`)

// hidden reports whether r is written by an escape: what a line cannot hold or nobody could
// see.
func hidden(r rune) bool {
	return r != ' ' && !unicode.IsGraphic(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || r == '\ufeff'
}
