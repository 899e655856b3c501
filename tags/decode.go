package tags

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Format is the version of the tag, vocabulary and recipe files this program reads,
// written in each as "trenchcut: 1".
const Format = 1

// maxFile bounds a tag file in bytes. A game's largest is under two million; of nodes as
// small as they come the parser makes a hundred times their bytes.
const maxFile = 8 << 20

// Decoder reads YAML nodes one key at a time, so that every fault of a file is found
// in one go and each has its place. yaml.v3's own decoding into structs stops knowing
// unknown keys inside a custom UnmarshalYAML, and reads 091 as a number.
type Decoder struct {
	File   string
	Faults Faults

	data  []byte // the file, and its lines once a place within one was asked for
	lines source
	// elsewhere returns a hint for an unknown key that another mapping of the file has, or an empty
	// text. It is nil for files whose mappings have no keys in common.
	elsewhere func(key, value *yaml.Node, what string, known Keys) string
	// reading is told of every mapping that is read, and top of the first of them; nil where nobody
	// listens.
	reading func(n *yaml.Node, what string, keys Keys)
	top     func(n *yaml.Node)
}

// Keys says what to do with the value of each key a mapping may have.
type Keys map[string]func(*yaml.Node)

// Document reads data as one YAML document whose first level is a mapping that says
// "trenchcut: 1"; what names the file's kind in messages. It reports whether there was
// such a mapping to read.
func (d *Decoder) Document(data []byte, what string, keys Keys) bool {
	d.data = data
	if len(data) > maxFile {
		d.Faults.Add(Pos{File: d.File}, "%s is larger than %d MB", what, maxFile>>20)
		return false
	}
	if pos, bad := badText(data); bad != "" {
		pos.File = d.File
		d.Faults.Add(pos, "%s holds %s: want UTF-8 text", what, bad)
		return false
	}
	var root yaml.Node
	reader := yaml.NewDecoder(bytes.NewReader(data))
	if err := decode(reader, &root); err != nil {
		if errors.Is(err, io.EOF) {
			d.empty(what)
			return false
		}
		d.syntax(err)
		return false
	}
	var second yaml.Node
	if err := decode(reader, &second); err == nil {
		d.Faults.Add(d.Pos(&second), "a second YAML document: %s is one document", what)
	} else if !errors.Is(err, io.EOF) {
		d.syntax(err)
	}
	return d.topLevel(root.Content[0], what, keys)
}

// topLevel is Document of the document's top value.
func (d *Decoder) topLevel(top *yaml.Node, what string, keys Keys) bool {
	if empty(top) {
		d.empty(what)
		return false
	}
	version := false
	all := Keys{"trenchcut": func(n *yaml.Node) {
		version = true
		if v, ok := d.Whole(n, 1, 1<<30); ok && v != Format {
			d.Faults.Add(d.Pos(n), "format %d is not one this program reads; it reads %d", v, Format)
		}
	}}
	maps.Copy(all, keys)
	if d.top != nil {
		d.top(top)
	}
	d.Mapping(top, what, all)
	if top.Kind != yaml.MappingNode {
		return false
	}
	if !version {
		d.Faults.Add(d.Pos(top), "%s does not begin with \"trenchcut: %d\"", what, Format)
	}
	return true
}

// empty notes that the file holds nothing.
func (d *Decoder) empty(what string) {
	d.Faults.Add(Pos{File: d.File}, "%s is empty", what)
	d.Faults.hint(fmt.Sprintf("it begins with \"trenchcut: %d\"", Format))
}

// decode turns a panic into an error: yaml.v3 recovers only from its own, and a slip in
// its parser must not take down the faults of every other file.
func decode(reader *yaml.Decoder, into *yaml.Node) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the parser failed: %v", p)
		}
	}()
	return reader.Decode(into)
}

// badText finds the first character of data that no text file holds, and says what it
// is; yaml.v3 refuses these too, but does not say where. Lines end as YAML ends them.
func badText(data []byte) (Pos, string) {
	pos := Pos{Line: 1, Column: 1}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	for i := 0; i < len(data); {
		r, size := utf8.DecodeRune(data[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			return pos, fmt.Sprintf("the byte %#02x", data[i])
		case r < ' ' && r != '\t' && r != '\n' && r != '\r', r >= 0x7f && r < 0xa0 && r != '\u0085',
			r == 0xfeff, r == 0xfffe, r == 0xffff:
			return pos, fmt.Sprintf("the character %U", r)
		case r == '\n', r == '\r' && !bytes.HasPrefix(data[i+1:], []byte("\n")), r == '\u0085', r == '\u2028', r == '\u2029':
			pos.Line, pos.Column = pos.Line+1, 0
		}
		pos.Column++
		i += size
	}
	return pos, ""
}

var yamlLine = regexp.MustCompile(`line (\d+): `)

// yamlParser knows the errors of yaml.v3's parser, which give the line before the one
// meant; those of its scanner give the line itself.
var yamlParser = regexp.MustCompile(`^did not find expected (key|node content|<document start>|'-' indicator|',' or '[]}]')|^found (undefined tag handle|duplicate %|incompatible YAML)`)

// yamlFault is what yaml.v3 finds wrong, in plain words, and what most often mends it.
type yamlFault struct{ what, hint string }

var yamlFaults = map[string]yamlFault{
	"did not find expected '-' indicator":            {"an item of the list that begins here is not in line with the others", "give every - of it the same indent"},
	"did not find expected key":                      {"a line of what begins here is not in line with the others", "give its keys the same indent"},
	"did not find expected ',' or '}'":               {"a { here or above is not closed", "want } at its end, and a comma between two keys"},
	"did not find expected ',' or ']'":               {"a [ here or above is not closed", "want ] at its end, and a comma between two items"},
	"did not find expected node content":             {"there is a sign here that nothing can begin with", "take it out, or put the text in quotes"},
	"found unexpected end of stream":                 {"a quote here or above is not closed", "want the same quote at the end of the text"},
	"found character that cannot start any token":    {"no text can begin with this sign", "put the text in quotes"},
	"mapping values are not allowed in this context": {"a colon and a space where no key can be", "put text that holds them in quotes, or look at the indent"},
}

// syntax notes yaml.v3's own error, which gives a line but no column.
func (d *Decoder) syntax(err error) {
	msg := strings.TrimPrefix(err.Error(), "yaml: ")
	pos := Pos{File: d.File, Line: 1, Column: 1}
	if m := yamlLine.FindStringSubmatch(msg); m != nil {
		pos.Line, _ = strconv.Atoi(m[1])
		msg = strings.Replace(msg, m[0], "", 1)
		if yamlParser.MatchString(msg) {
			pos.Line++
		}
	}
	if line := d.line(pos.Line); strings.Contains(line[:len(line)-len(strings.TrimLeft(line, " \t"))], "\t") {
		d.Faults.Add(pos, "the line is indented with a tab")
		d.Faults.hint("indent with spaces")
		return
	}
	if f, ok := yamlFaults[msg]; ok {
		d.Faults.Add(pos, "not YAML: %s", f.what)
		d.Faults.hint(f.hint)
		return
	}
	d.Faults.Add(pos, "not YAML: %s", msg)
}

// line is a line of the file, counted from 1; empty where there is none.
func (d *Decoder) line(n int) string {
	if d.lines == nil {
		d.lines = newSource(d.data)
	}
	if n < 1 || n > len(d.lines) {
		return ""
	}
	return d.lines[n-1]
}

// Pos is where n stands.
func (d *Decoder) Pos(n *yaml.Node) Pos { return Pos{d.File, n.Line, n.Column} }

// Mapping reads n key by key; a key not in keys, and one given twice, is a fault.
func (d *Decoder) Mapping(n *yaml.Node, what string, keys Keys) {
	if d.reading != nil {
		d.reading(n, what, keys)
	}
	d.Each(n, what, func(key, value *yaml.Node) {
		if f, ok := keys[key.Value]; ok {
			f(value)
			return
		}
		d.Faults.Add(d.Pos(key), "unknown key %q in %s", key.Value, what)
		hint := ""
		if d.elsewhere != nil {
			hint = d.elsewhere(key, value, what, keys)
		}
		d.Faults.hint(cmp.Or(hint, DidYouMean(key.Value, slices.Sorted(maps.Keys(keys)))))
	})
}

// Each calls f with every key and value of the mapping n, in order; a key written with
// nothing after it is an empty mapping.
func (d *Decoder) Each(n *yaml.Node, what string, f func(key, value *yaml.Node)) {
	n = d.plain(n)
	if n == nil || empty(n) {
		return
	}
	if n.Kind != yaml.MappingNode {
		d.want(n, what, "a mapping of keys to values")
		return
	}
	seen := make(map[string]int, len(n.Content)/2) // the line of each key
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		if key.Kind != yaml.ScalarNode {
			d.Faults.Add(d.Pos(key), "a key of %s is not plain text", what)
			continue
		}
		if first, ok := seen[key.Value]; ok {
			d.Faults.Add(d.Pos(key), "key %q stands twice in %s", key.Value, what)
			d.Faults.hint(fmt.Sprintf("it stands first at line %d", first))
			continue
		}
		seen[key.Value] = key.Line
		f(key, n.Content[i+1])
	}
}

// List calls f with every item of the sequence n; a key written with nothing after it
// is an empty list.
func (d *Decoder) List(n *yaml.Node, what string, f func(*yaml.Node)) {
	n = d.plain(n)
	if n == nil || empty(n) {
		return
	}
	if n.Kind != yaml.SequenceNode {
		d.want(n, what, "a list")
		return
	}
	for _, item := range n.Content {
		f(item)
	}
}

// Text is the scalar n as it was written: 091 stays "091", and yes stays "yes".
func (d *Decoder) Text(n *yaml.Node, what string) string {
	text, _ := d.scalar(n, what)
	return text
}

// scalar is Text, and whether n is text at all; where it is not, that fault is noted.
func (d *Decoder) scalar(n *yaml.Node, what string) (string, bool) {
	n = d.plain(n)
	switch {
	case n == nil:
		return "", false
	case empty(n):
		return "", true
	case n.Kind != yaml.ScalarNode:
		d.want(n, what, "text")
		return "", false
	case strings.ContainsRune(n.Value, 0): // by an escape, "\0"
		d.Faults.Add(d.Pos(n), "%s holds a NUL character", what)
		return "", false
	}
	return n.Value, true
}

// empty reports whether n is a key's value that was left out, or null.
func empty(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.ShortTag() == "!!null" }

// Whole is the scalar n as a whole number from least to most.
func (d *Decoder) Whole(n *yaml.Node, least, most int) (int, bool) {
	text, ok := d.scalar(n, "a number")
	if !ok {
		return 0, false
	}
	v, err := strconv.Atoi(text)
	if err != nil || v < least || v > most {
		d.Faults.Add(d.Pos(n), "%q is not a whole number from %d to %d", text, least, most)
		return 0, false
	}
	return v, true
}

// YesNo is the scalar n as yes or no, or true or false.
func (d *Decoder) YesNo(n *yaml.Node, what string) bool {
	text, ok := d.scalar(n, what)
	switch text {
	case "yes", "true":
		return true
	case "no", "false":
		return false
	}
	if ok {
		d.Faults.Add(d.Pos(n), "%s is %q, not yes or no", what, text)
	}
	return false
}

// Instant is the scalar n as a time, or nil where it is none.
func (d *Decoder) Instant(n *yaml.Node, what string) *Instant {
	text, ok := d.scalar(n, what)
	if !ok {
		return nil
	}
	return d.instantOf(text, n, what)
}

// instantOf parses text, the value of n, as a time. Where it is none, that is a fault and the
// result is nil.
func (d *Decoder) instantOf(text string, n *yaml.Node, what string) *Instant {
	at, err := ParseInstant(text)
	if err != nil {
		d.Faults.Add(d.Pos(n), "%s: %v", what, err)
		return nil
	}
	at.Pos = d.Pos(n)
	return &at
}

// plain is n with its alias followed; nil where the alias leads nowhere sane.
func (d *Decoder) plain(n *yaml.Node) *yaml.Node {
	if n.Kind != yaml.AliasNode {
		return n
	}
	// Aliases to whole mappings are how a small file grows without bound.
	if n.Alias == nil || n.Alias.Kind != yaml.ScalarNode {
		d.Faults.Add(d.Pos(n), "alias *%s stands for more than one value: write it out", n.Value)
		return nil
	}
	return n.Alias
}

func (d *Decoder) want(n *yaml.Node, what, want string) {
	is := map[yaml.Kind]string{yaml.MappingNode: "a mapping", yaml.SequenceNode: "a list", yaml.ScalarNode: fmt.Sprintf("%q", n.Value)}[n.Kind]
	d.Faults.Add(d.Pos(n), "%s is %s, want %s", what, is, want)
}
