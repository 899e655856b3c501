package tags

import (
	"bytes"
	"errors"
	"fmt"
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
func (t yamlText) write(kind yaml.Kind, nodes []*yaml.Node, indent int, flow bool) (string, error) {
	n := &yaml.Node{Kind: kind, Content: nodes}
	if flow {
		n.Style = yaml.FlowStyle
	}
	if err := restyle(n, flow); err != nil {
		return "", err
	}
	text, err := encoded(n)
	if err != nil {
		return "", err
	}
	if flow {
		text = text[1 : len(text)-1]
	}
	return strings.ReplaceAll(text, "\n", t.newline+spaces(indent)), nil
}

// encoded is n as yaml.v3 writes it, with escapes for what nobody could see.
func encoded(n *yaml.Node) (string, error) {
	var out bytes.Buffer
	enc := yaml.NewEncoder(&out)
	enc.SetIndent(step)
	if err := errors.Join(enc.Encode(n), enc.Close()); err != nil {
		return "", err
	}
	var text strings.Builder
	for _, r := range strings.TrimSuffix(out.String(), "\n") {
		if r != '\n' && hidden(r) {
			fmt.Fprintf(&text, `\U%08X`, r)
		} else {
			text.WriteRune(r)
		}
	}
	return text.String(), nil
}

// restyle chooses the quotes of every scalar in a new node: none, where the text reads back
// as itself and a person would write it so.
func restyle(n *yaml.Node, flow bool) error {
	flow = flow || n.Style&yaml.FlowStyle != 0
	for _, child := range n.Content {
		if err := restyle(child, flow); err != nil {
			return err
		}
	}
	switch n.Kind {
	case yaml.MappingNode, yaml.SequenceNode:
		return nil
	case yaml.ScalarNode:
	default:
		return errors.New("the value to write is no text, mapping or list")
	}
	if !utf8.ValidString(n.Value) {
		return fmt.Errorf("%q is not UTF-8 text", n.Value)
	}
	asked := n.Style
	n.Tag, n.Style = "", 0
	switch {
	case strings.IndexFunc(n.Value, hidden) >= 0, asked&yaml.DoubleQuotedStyle != 0:
		n.Style = yaml.DoubleQuotedStyle
	case asked&yaml.SingleQuotedStyle != 0:
		n.Style = yaml.SingleQuotedStyle
	case (asked == plain || natural(n.Value)) && readsPlain(n, flow):
	case strings.ContainsAny(n.Value, `"\`) && !strings.Contains(n.Value, "'"):
		n.Style = yaml.SingleQuotedStyle
	default:
		n.Style = yaml.DoubleQuotedStyle
	}
	return nil
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

// readsPlain reports whether yaml.v3 writes a scalar without quotes, which it does where it
// reads them back as the same text.
func readsPlain(n *yaml.Node, flow bool) bool {
	of := &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{Scalar("k"), n}}
	want := "k: " + n.Value
	if flow {
		of.Style, want = yaml.FlowStyle, "{"+want+"}"
	}
	text, err := encoded(of)
	return err == nil && text == want && !empty(n)
}

// hidden reports whether r is written by an escape: what a line cannot hold or nobody could
// see.
func hidden(r rune) bool {
	return r != ' ' && !unicode.IsGraphic(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || r == '\ufeff'
}
