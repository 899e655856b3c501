package tags

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

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

// Edit is one change to a YAML file, made by [Replace], [Insert] or [Append].
type Edit struct {
	verb  verb
	at    Path
	key   string
	value *yaml.Node
	after []string
}

type verb int

const (
	replacing verb = iota
	inserting
	appending
)

// Replace puts text in the place of the scalar at a path; the quotes stay as they are
// where the text allows it.
func Replace(at Path, text string) Edit {
	return Edit{verb: replacing, at: at, value: Scalar(text)}
}

// Insert puts a key into the mapping at a path: behind the last named in after of the keys
// that it has, or else at its end. A key that is there with nothing after it is
// filled; any other that is there already is an error.
func Insert(at Path, key string, value *yaml.Node, after ...string) Edit {
	return Edit{verb: inserting, at: at, key: key, value: clone(value), after: after}
}

// Append puts an item at the end of the list at a path.
func Append(at Path, item *yaml.Node) Edit {
	return Edit{verb: appending, at: at, value: clone(item)}
}

func (e Edit) String() string {
	switch e.verb {
	case replacing:
		return "replace " + e.at.String()
	case inserting:
		return fmt.Sprintf("insert %s into %s", e.key, e.at)
	default:
		return "append to " + e.at.String()
	}
}

// Scalar is text as a value to write: plain where a person would write it so and it
// reads back as the same text, else quoted.
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

// Splice carries out edits on YAML text. It changes no byte but those the edits are about,
// so comments, order, spacing, quotes and line ends stay. Paths are those of data as
// given, whatever the other edits. It refuses to write through an anchor or alias, and
// fails where the result does not parse to exactly the tree that was asked for.
func Splice(data []byte, edits ...Edit) ([]byte, error) {
	s, err := newSplicer(data)
	if err != nil {
		return nil, err
	}
	for _, e := range edits {
		if err := s.edit(e); err != nil {
			return nil, fmt.Errorf("%s: %w", e, err)
		}
	}
	out, err := s.spliced()
	if err != nil {
		return nil, err
	}
	if len(out) > maxFile {
		return nil, fmt.Errorf("the edited text would be larger than %d MB", maxFile>>20)
	}
	got, err := parseYAML(out)
	if err != nil {
		return nil, fmt.Errorf("the edited text is not YAML: %w", err)
	}
	if n := s.differs(s.root, got); n != nil {
		return nil, fmt.Errorf("the edited text would not say what is meant from line %d on", n.Line)
	}
	return out, nil
}

// splicer collects the cuts that edits make, all against the data as it was.
type splicer struct {
	data     []byte
	lines    []int // where each line starts
	root     *yaml.Node
	cuts     []cut
	replaced map[*yaml.Node]*yaml.Node
	grown    map[*yaml.Node][]growth
}

// cut puts text where the bytes from, to were.
type cut struct {
	from, to int
	text     string
}

// growth is what comes into a mapping or list behind its i-th node.
type growth struct {
	behind int
	nodes  []*yaml.Node
}

func newSplicer(data []byte) (*splicer, error) {
	if len(data) > maxFile {
		return nil, fmt.Errorf("the file is larger than %d MB", maxFile>>20)
	}
	if pos, bad := badText(data); bad != "" {
		return nil, fmt.Errorf("line %d holds %s: want UTF-8 text", pos.Line, bad)
	}
	root, err := parseYAML(data)
	if err != nil {
		return nil, fmt.Errorf("not YAML: %w", err)
	}
	return &splicer{
		data: data, lines: lineStarts(data), root: root,
		replaced: map[*yaml.Node]*yaml.Node{}, grown: map[*yaml.Node][]growth{},
	}, nil
}

// parseYAML is the top value of the one document in data.
func parseYAML(data []byte) (*yaml.Node, error) {
	reader := yaml.NewDecoder(bytes.NewReader(data))
	var root, second yaml.Node
	if err := decode(reader, &root); err != nil {
		return nil, err
	}
	if err := decode(reader, &second); err == nil {
		return nil, errors.New("there is a second document")
	} else if !errors.Is(err, io.EOF) {
		return nil, err
	}
	return root.Content[0], nil
}

// breakAt is how many bytes the line break at the start of b has; 0 where there is none.
func breakAt(b []byte) int {
	for _, br := range []string{"\r\n", "\n", "\r", "\u0085", "\u2028", "\u2029"} {
		if bytes.HasPrefix(b, []byte(br)) {
			return len(br)
		}
	}
	return 0
}

func lineStarts(data []byte) []int {
	start := 0
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		start = len("\ufeff")
	}
	starts := []int{start}
	for i := start; i < len(data); {
		n := breakAt(data[i:])
		if n > 0 {
			starts = append(starts, i+n)
		}
		i += max(n, 1)
	}
	return starts
}

// offset is the byte at which n starts; yaml.v3 counts columns in characters.
func (s *splicer) offset(n *yaml.Node) (int, error) {
	if n.Line < 1 || n.Line > len(s.lines) {
		return 0, fmt.Errorf("line %d is not in the file", n.Line)
	}
	at := s.lines[n.Line-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRune(s.data[at:])
		at += size
	}
	return at, nil
}

// place is a value and what stands around it.
type place struct {
	node   *yaml.Node
	key    *yaml.Node // nil where it is no value of a mapping
	flow   bool       // it stands within {} or []
	indent int        // columns before the key or dash that holds it; -1 at the top
}

// find follows a path, and refuses one through an anchor or alias, because an edit there
// is an edit in more than one place.
func (s *splicer) find(at Path) (place, error) {
	p := place{node: s.root, indent: -1}
	for i, step := range at {
		if err := s.editable(p.node); err != nil {
			return p, err
		}
		next, err := s.step(p, step)
		if err != nil {
			return p, fmt.Errorf("%s: %w", at[:i+1], err)
		}
		p = next
	}
	return p, s.editable(p.node)
}

func (s *splicer) editable(n *yaml.Node) error {
	switch {
	case n.Kind == yaml.AliasNode:
		return fmt.Errorf("line %d: alias *%s stands for what is elsewhere: write it out first", n.Line, n.Value)
	case n.Anchor != "":
		return fmt.Errorf("line %d: anchor &%s may be used elsewhere: write it out first", n.Line, n.Anchor)
	case n.Style&yaml.TaggedStyle != 0:
		return fmt.Errorf("line %d: the value has a tag, %s", n.Line, n.Tag)
	}
	return nil
}

func (s *splicer) step(p place, step any) (place, error) {
	flow := p.flow || p.node.Style&yaml.FlowStyle != 0
	switch step := step.(type) {
	case string:
		i := keyOf(p.node, step)
		if i < 0 {
			return p, errors.New("no such key")
		}
		return place{p.node.Content[i+1], p.node.Content[i], flow, p.node.Content[i].Column - 1}, nil
	case int:
		if p.node.Kind != yaml.SequenceNode || step < 0 || step >= len(p.node.Content) {
			return p, errors.New("no such item")
		}
		return place{p.node.Content[step], nil, flow, p.node.Column - 1}, nil
	default:
		return p, fmt.Errorf("a path has keys and places, not %T", step)
	}
}

// keyOf is where in n's content a key stands; -1 where it does not.
func keyOf(n *yaml.Node, key string) int {
	if n.Kind != yaml.MappingNode {
		return -1
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if k := n.Content[i]; k.Kind == yaml.ScalarNode && k.Value == key {
			return i
		}
	}
	return -1
}

func (s *splicer) edit(e Edit) error {
	p, err := s.find(e.at)
	if err != nil {
		return err
	}
	switch e.verb {
	case replacing:
		if p.node.Kind != yaml.ScalarNode {
			return errors.New("it is no single value")
		}
		return s.replace(p, e.value)
	case inserting:
		return s.insert(p, e)
	default:
		return s.append(p, e.value)
	}
}

// replace puts value in the place of the scalar at p.
func (s *splicer) replace(p place, value *yaml.Node) error {
	if _, twice := s.replaced[p.node]; twice || s.grown[p.node] != nil {
		return errors.New("two edits of one value")
	}
	from, to, colon, err := s.extent(p)
	if err != nil {
		return err
	}
	w := writer{flow: p.flow, nl: s.newline(to)}
	if value.Kind == yaml.ScalarNode {
		w.restyle(value, p.node)
	}
	if p.node.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		header, _, _ := bytes.Cut(s.data[from:s.lineEnd(from)], []byte(" #"))
		if len(header) < s.lineEnd(from)-from {
			return fmt.Errorf("line %d: a comment stands on the first line of the text", p.node.Line)
		}
	}
	text, err := w.value(value, p.indent)
	if err != nil {
		return err
	}
	if from == to && !strings.HasPrefix(text, w.nl) {
		text = " " + text
	}
	if !colon {
		text = ":" + text
	}
	if strings.HasPrefix(text, w.nl) {
		// A block begins below, and what is said of its key stays beside the key.
		if from != to {
			return fmt.Errorf("line %d: %q stands where a block would begin", p.node.Line, p.node.Value)
		}
		if from, err = s.restOfLine(to); err != nil {
			return err
		}
		to = from
	}
	s.replaced[p.node] = value
	s.cuts = append(s.cuts, cut{from, to, text})
	return nil
}

func (s *splicer) insert(p place, e Edit) error {
	n := p.node
	if i := keyOf(n, e.key); i >= 0 && empty(n.Content[i+1]) {
		at, err := s.find(append(slices.Clone(e.at), e.key))
		if err != nil {
			return err
		}
		return s.replace(at, e.value)
	} else if i >= 0 {
		return fmt.Errorf("it is there already, at line %d", n.Content[i].Line)
	}
	if keyOf(n, "<<") >= 0 {
		return fmt.Errorf("line %d: what comes in by << may be used elsewhere: write it out first", n.Line)
	}
	for _, g := range s.grown[n] {
		if g.nodes[0].Value == e.key {
			return errors.New("two edits insert it")
		}
	}
	if n.Kind != yaml.MappingNode && !empty(n) {
		return errors.New("it is no mapping")
	}
	behind := len(n.Content) - 1
	for _, key := range e.after {
		if i := keyOf(n, key); i >= 0 {
			behind = i + 1
		}
	}
	return s.grow(p, growth{behind, []*yaml.Node{Scalar(e.key), e.value}})
}

func (s *splicer) append(p place, item *yaml.Node) error {
	n := p.node
	if n.Kind != yaml.SequenceNode && !empty(n) {
		return errors.New("it is no list")
	}
	return s.grow(p, growth{len(n.Content) - 1, []*yaml.Node{item}})
}

// grow puts an entry into the mapping or list at p.
func (s *splicer) grow(p place, g growth) error {
	if _, twice := s.replaced[p.node]; twice {
		return errors.New("two edits of one value")
	}
	var c cut
	var err error
	switch n := p.node; {
	case n.Kind == yaml.ScalarNode:
		c, err = s.begin(p, g)
	case len(g.nodes) == 1 && g.nodes[0].Kind == yaml.MappingNode && p.key != nil && !p.flow && s.bare(n):
		c, err = s.unfold(p, g)
	case n.Style&yaml.FlowStyle != 0:
		c, err = s.growFlow(p, g)
	default:
		c, err = s.growBlock(p, g)
	}
	if err != nil {
		return err
	}
	s.grown[p.node] = append(s.grown[p.node], g)
	s.cuts = append(s.cuts, c)
	return nil
}

// begin starts a mapping or list behind a key with nothing after it.
func (s *splicer) begin(p place, g growth) (cut, error) {
	at, _, colon, err := s.extent(p)
	if err != nil {
		return cut{}, err
	}
	if p.node.Value != "" || p.key == nil || !colon {
		return cut{}, fmt.Errorf("line %d: there is no mapping or list to put it into", p.node.Line)
	}
	if p.flow {
		if s.grown[p.node] != nil {
			return cut{}, errors.New("two edits begin one value")
		}
		w := writer{flow: true}
		text, err := w.entry(g.nodes, 0)
		if err != nil {
			return cut{}, err
		}
		if len(g.nodes) == 1 {
			return cut{at, at, " [" + text + "]"}, nil
		}
		return cut{at, at, " {" + text + "}"}, nil
	}
	end, err := s.restOfLine(at)
	if err != nil {
		return cut{}, err
	}
	w := writer{nl: s.newline(end)}
	text, err := w.entry(g.nodes, p.indent+step)
	return cut{end, end, w.nl + spaces(p.indent+step) + text}, err
}

// bare reports whether n is an empty list on one line, with no comment within.
func (s *splicer) bare(n *yaml.Node) bool {
	at, err := s.offset(n)
	if err != nil || n.Kind != yaml.SequenceNode || len(n.Content) > 0 {
		return false
	}
	rest, open := bytes.CutPrefix(s.data[at:], []byte("["))
	return open && bytes.HasPrefix(bytes.TrimLeft(rest, " \t"), []byte("]"))
}

// unfold makes of an empty [] a list with a line for each key, as plays are written.
func (s *splicer) unfold(p place, g growth) (cut, error) {
	from, err := s.offset(p.node)
	if err != nil {
		return cut{}, err
	}
	to, err := s.end(p.node, p.flow, p.indent)
	if err != nil {
		return cut{}, err
	}
	end, err := s.restOfLine(to)
	if err != nil {
		return cut{}, err
	}
	if s.grown[p.node] == nil {
		if to == end && s.data[from-1] == ' ' {
			from-- // or a space would stand at the end of the line
		}
		s.cuts = append(s.cuts, cut{from: from, to: to})
	}
	w := writer{nl: s.newline(end)}
	text, err := w.entry(g.nodes, p.indent+step)
	return cut{end, end, w.nl + spaces(p.indent+step) + text}, err
}

func (s *splicer) growFlow(p place, g growth) (cut, error) {
	w := writer{flow: true}
	text, err := w.entry(g.nodes, 0)
	if err != nil {
		return cut{}, err
	}
	at, err := s.offset(p.node)
	if err != nil {
		return cut{}, err
	}
	if open := s.data[at]; open != '{' && open != '[' {
		return cut{}, fmt.Errorf("line %d: it stands without its brackets", p.node.Line)
	}
	at++
	if g.behind >= 0 {
		if at, err = s.endOfEntry(p, g.behind); err != nil {
			return cut{}, err
		}
	}
	if g.behind >= 0 || s.grown[p.node] != nil {
		text = ", " + text
	}
	if s.data[at-1] == ':' {
		text = " " + text // a colon and a comma would be a text of their own
	}
	return cut{at, at, text}, nil
}

func (s *splicer) growBlock(p place, g growth) (cut, error) {
	n := p.node
	indent := n.Column - 1
	if n.Kind == yaml.MappingNode {
		indent = n.Content[0].Column - 1
	}
	end, err := s.endOfEntry(p, g.behind)
	if err != nil {
		return cut{}, err
	}
	if end, err = s.restOfLine(end); err != nil {
		return cut{}, err
	}
	last := lastLeaf(n.Content[g.behind])
	inText := last.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 // whose last line break is part of it
	if inText && end == len(s.data) {
		return cut{}, fmt.Errorf("line %d: the file ends within this text: end its last line first", last.Line)
	}
	w := writer{nl: s.newline(end)}
	if n.Kind == yaml.SequenceNode && n.Content[g.behind].Style&yaml.FlowStyle != 0 {
		fold(g.nodes[0])
	}
	text, err := w.entry(g.nodes, indent)
	gap := w.nl
	if n.Kind == yaml.SequenceNode && s.spaced(n) && !inText {
		gap += w.nl
	}
	return cut{end, end, gap + spaces(indent) + text}, err
}

func lastLeaf(n *yaml.Node) *yaml.Node {
	for len(n.Content) > 0 {
		n = n.Content[len(n.Content)-1]
	}
	return n
}

// spaced reports whether a blank line stands before the last item of a list.
func (s *splicer) spaced(n *yaml.Node) bool {
	if len(n.Content) < 2 {
		return false
	}
	// What stands between the two may be comments too.
	last, before := n.Content[len(n.Content)-1], n.Content[len(n.Content)-2]
	for line := last.Line - 1; line > before.Line; line-- {
		text := bytes.TrimSpace(s.data[s.lines[line-1]:s.lines[line]])
		if len(text) == 0 {
			return true
		}
		if text[0] != '#' {
			return false
		}
	}
	return false
}

// endOfEntry is where the entry of p whose value or item is its i-th node ends.
func (s *splicer) endOfEntry(p place, i int) (int, error) {
	n := p.node
	flow := p.flow || n.Style&yaml.FlowStyle != 0
	indent := n.Column - 1
	if n.Kind == yaml.MappingNode {
		key := n.Content[i-1]
		indent = n.Content[0].Column - 1
		_, end, _, err := s.extent(place{n.Content[i], key, flow, indent})
		return end, err
	}
	return s.end(n.Content[i], flow, indent)
}

// extent is where the value at p stands, and whether a colon stands before it: in {a, b}
// none does. Where nothing is written, yaml.v3 gives the place of whatever comes next.
func (s *splicer) extent(p place) (from, to int, colon bool, err error) {
	n := p.node
	if p.key == nil || n.Kind != yaml.ScalarNode || n.Value != "" || n.Style != 0 || n.Anchor != "" {
		if from, err = s.offset(n); err == nil {
			to, err = s.end(n, p.flow, p.indent)
		}
		return from, to, true, err
	}
	end, err := s.end(p.key, p.flow, p.indent)
	if err != nil {
		return 0, 0, false, err
	}
	if at := s.pastBlanks(end); at < len(s.data) && s.data[at] == ':' {
		return at + 1, at + 1, true, nil
	}
	return end, end, false, nil
}

// end is where the value n ends; yaml.v3 tells only where it starts.
func (s *splicer) end(n *yaml.Node, flow bool, indent int) (int, error) {
	at, err := s.offset(n)
	if err != nil {
		return 0, err
	}
	if n.Kind == yaml.AliasNode {
		return at + len("*") + len(n.Value), nil
	}
	if at, err = s.pastProperties(at, n); err != nil {
		return 0, err
	}
	if n.Kind == yaml.ScalarNode {
		return s.endOfScalar(at, n, flow, indent)
	}
	brackets := n.Style&yaml.FlowStyle != 0 && at < len(s.data) && (s.data[at] == '{' || s.data[at] == '[')
	end := at
	if len(n.Content) > 0 {
		if end, err = s.endOfEntry(place{node: n, flow: flow, indent: indent}, len(n.Content)-1); err != nil {
			return 0, err
		}
	} else if brackets {
		end++
	}
	if !brackets {
		return end, nil
	}
	for _, mark := range []byte(":,") { // of an entry that lacks its value, and of one more that is not there
		if past := s.pastBlanks(end); past < len(s.data) && s.data[past] == mark {
			end = past + 1
		}
	}
	end = s.pastBlanks(end)
	if end >= len(s.data) || s.data[end] != '}' && s.data[end] != ']' {
		return 0, fmt.Errorf("line %d: found no end of what begins there", n.Line)
	}
	return end + 1, nil
}

// pastProperties is where n itself starts, behind its anchor and tag.
func (s *splicer) pastProperties(at int, n *yaml.Node) (int, error) {
	if n.Anchor == "" && n.Style&yaml.TaggedStyle == 0 {
		return at, nil
	}
	for at < len(s.data) && (s.data[at] == '&' || s.data[at] == '!') {
		for at < len(s.data) && !isBlank(s.data[at:]) {
			at++
		}
		if n.Kind == yaml.ScalarNode && n.Value == "" && n.Style&^yaml.TaggedStyle == 0 {
			return 0, fmt.Errorf("line %d: an anchor or tag with nothing after it", n.Line)
		}
		at = s.pastBlanks(at)
	}
	return at, nil
}

func isBlank(b []byte) bool { return len(b) > 0 && (b[0] == ' ' || b[0] == '\t' || breakAt(b) > 0) }

// pastBlanks skips spaces, line breaks and comments.
func (s *splicer) pastBlanks(at int) int {
	for at < len(s.data) {
		switch {
		case isBlank(s.data[at:]):
			at += max(breakAt(s.data[at:]), 1)
		case s.data[at] == '#':
			at = s.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// lineEnd is where the line that holds at ends, before its break.
func (s *splicer) lineEnd(at int) int {
	for at < len(s.data) && breakAt(s.data[at:]) == 0 {
		at++
	}
	return at
}

// restOfLine is the end of the line, where nothing but a comment follows at.
func (s *splicer) restOfLine(at int) (int, error) {
	end := s.lineEnd(at)
	rest := bytes.TrimLeft(s.data[at:end], " \t")
	if len(rest) > 0 && (rest[0] != '#' || len(rest) == end-at) {
		return 0, fmt.Errorf("%q stands where a new line would begin", rest)
	}
	return end, nil
}

func (s *splicer) endOfScalar(at int, n *yaml.Node, flow bool, indent int) (int, error) {
	lost := fmt.Errorf("line %d: found no end of the text that begins there", n.Line)
	switch {
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		if flow {
			return 0, lost
		}
		return s.endOfBlock(at, indent), nil
	case n.Style&yaml.DoubleQuotedStyle != 0, n.Style&yaml.SingleQuotedStyle != 0:
		quote := s.data[at]
		for i := at + 1; i < len(s.data); i++ {
			switch {
			case quote == '"' && s.data[i] == '\\':
				i++
			case quote == '\'' && s.data[i] == '\'' && i+1 < len(s.data) && s.data[i+1] == '\'':
				i++
			case s.data[i] == quote:
				return i + 1, nil
			}
		}
		return 0, lost
	}
	// A plain text has no end of its own: it is as long as its value.
	value := n.Value
	for value != "" {
		switch {
		case at >= len(s.data):
			return 0, lost
		case isBlank(s.data[at:]):
			run, folded := s.folded(at)
			if !strings.HasPrefix(value, folded) {
				return 0, lost
			}
			at, value = at+run, value[len(folded):]
		case s.data[at] == value[0]:
			at, value = at+1, value[1:]
		default:
			return 0, lost
		}
	}
	return at, nil
}

// folded is the run of blanks at a place in a plain text, and what YAML makes of it: a
// single line break is a space, and of more the first is dropped.
func (s *splicer) folded(at int) (run int, value string) {
	breaks := ""
	from := at
	for isBlank(s.data[at:]) {
		n := breakAt(s.data[at:])
		switch br := string(s.data[at : at+n]); {
		case n == 0:
			n = 1
		case br == "\u2028", br == "\u2029":
			breaks += br
		default:
			breaks += "\n"
		}
		at += n
	}
	switch breaks {
	case "":
		return at - from, string(s.data[from:at])
	case "\n":
		return at - from, " "
	default:
		return at - from, strings.TrimPrefix(breaks, "\n")
	}
}

// endOfBlock is where a text begun by | or > ends, its last line break left out.
func (s *splicer) endOfBlock(at, indent int) int {
	end := s.lineEnd(at)
	header, _, _ := strings.Cut(string(s.data[at:end]), " ")
	inner := -1
	if i := strings.IndexAny(header, "123456789"); i >= 0 {
		inner = max(indent, 0) + int(header[i]-'0')
	}
	for line := end; line < len(s.data); {
		line += breakAt(s.data[line:])
		if line >= len(s.data) {
			break
		}
		stop := s.lineEnd(line)
		text := s.data[line:stop]
		lead := len(text) - len(bytes.TrimLeft(text, " "))
		blank := lead == len(text)
		if inner < 0 && !blank {
			inner = max(lead, indent+1)
		}
		if !blank && lead < inner {
			break
		}
		if !blank || strings.Contains(header, "+") || inner >= 0 && lead > inner {
			end = stop
		}
		line = stop
	}
	return end
}

// newline is the line break used around at.
func (s *splicer) newline(at int) string {
	if n := breakAt(s.data[min(s.lineEnd(at), len(s.data)):]); n == 1 || n == 2 && s.data[s.lineEnd(at)] == '\r' {
		return string(s.data[s.lineEnd(at) : s.lineEnd(at)+n])
	}
	for i := range s.data {
		switch s.data[i] {
		case '\n':
			return "\n"
		case '\r':
			return string(s.data[i : i+breakAt(s.data[i:])])
		}
	}
	return "\n"
}

// spliced is the data with every cut made.
func (s *splicer) spliced() ([]byte, error) {
	sort.SliceStable(s.cuts, func(i, j int) bool { return s.cuts[i].from < s.cuts[j].from })
	var out bytes.Buffer
	at := 0
	for _, c := range s.cuts {
		if c.from < at {
			return nil, errors.New("two edits of one place")
		}
		out.Write(s.data[at:c.from])
		out.WriteString(c.text)
		at = c.to
	}
	out.Write(s.data[at:])
	return out.Bytes(), nil
}

// differs is the first node of got that is not what the edits make of want.
func (s *splicer) differs(want, got *yaml.Node) *yaml.Node {
	if value, ok := s.replaced[want]; ok {
		want = value
	}
	kind, tag, content := want.Kind, want.ShortTag(), want.Content
	if grown := s.grown[want]; grown != nil {
		content = nil
		for i := -1; i < len(want.Content); i++ {
			if i >= 0 {
				content = append(content, want.Content[i])
			}
			for _, g := range grown {
				if g.behind == i {
					content = append(content, g.nodes...)
				}
			}
		}
		if kind == yaml.ScalarNode {
			kind, tag = yaml.MappingNode, "!!map"
			if len(grown[0].nodes) == 1 {
				kind, tag = yaml.SequenceNode, "!!seq"
			}
		}
	}
	switch {
	case got.Kind != kind, got.ShortTag() != tag, got.Anchor != want.Anchor, len(got.Content) != len(content):
		return got
	case (kind == yaml.ScalarNode || kind == yaml.AliasNode) && got.Value != want.Value:
		return got
	}
	for i := range content {
		if n := s.differs(content[i], got.Content[i]); n != nil {
			return n
		}
	}
	return nil
}

// step is how far a block stands in from what holds it.
const step = 2

func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// writer writes new nodes as a person would, and notes in each how it wrote it.
type writer struct {
	flow bool
	nl   string
}

// entry is a key with its value, or an item with its dash; indent is where it stands, and
// only lines below the first begin with it.
func (w writer) entry(nodes []*yaml.Node, indent int) (string, error) {
	if len(nodes) == 1 {
		if w.flow {
			return w.value(nodes[0], indent)
		}
		text, err := w.item(nodes[0], indent+step)
		return "- " + text, err
	}
	key, err := w.scalar(nodes[0])
	if err != nil {
		return "", err
	}
	value, err := w.value(nodes[1], indent)
	if !strings.HasPrefix(value, w.nl) || w.flow {
		value = " " + value
	}
	return key + ":" + value, err
}

// item is n as it stands behind a dash.
func (w writer) item(n *yaml.Node, indent int) (string, error) {
	if n.Kind == yaml.ScalarNode || n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0 {
		return w.value(n, indent)
	}
	return w.lines(n, indent)
}

// value is n as it stands behind a key; a block begins with a line break.
func (w writer) value(n *yaml.Node, indent int) (string, error) {
	switch {
	case n.Kind == yaml.ScalarNode:
		return w.scalar(n)
	case n.Kind != yaml.MappingNode && n.Kind != yaml.SequenceNode:
		return "", errors.New("the value to write is no text, mapping or list")
	case w.flow || n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0:
		return w.inline(n)
	}
	text, err := w.lines(n, indent+step)
	return w.nl + spaces(indent+step) + text, err
}

// lines is a mapping or list with an entry a line, the first not indented.
func (w writer) lines(n *yaml.Node, indent int) (string, error) {
	entries, err := w.entries(n, indent)
	return strings.Join(entries, w.nl+spaces(indent)), err
}

// inline is {a: 1, b: 2} or [1, 2].
func (w writer) inline(n *yaml.Node) (string, error) {
	inner := writer{flow: true}
	entries, err := inner.entries(n, 0)
	if n.Kind == yaml.SequenceNode {
		return "[" + strings.Join(entries, ", ") + "]", err
	}
	return "{" + strings.Join(entries, ", ") + "}", err
}

func (w writer) entries(n *yaml.Node, indent int) ([]string, error) {
	size := 1
	if n.Kind == yaml.MappingNode {
		size = 2
	}
	var entries []string
	for i := 0; i+size <= len(n.Content); i += size {
		text, err := w.entry(n.Content[i:i+size], indent)
		if err != nil {
			return nil, err
		}
		entries = append(entries, text)
	}
	return entries, nil
}

// restyle gives value the quotes of the scalar it replaces. What stood plain stays so
// even where a value of this sort would be written in quotes, since that was somebody's way.
func (w writer) restyle(value, old *yaml.Node) {
	const quotes = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle
	if q := old.Style & quotes; q != 0 {
		value.Style = q
	} else if old.Style == 0 && old.Value != "" && !natural(old.Value) {
		value.Style = plain
	}
}

// plain marks a scalar that is to be written without quotes although it would have some;
// no style of yaml.v3 says so.
const plain yaml.Style = 1 << 20

// scalar is n in the quotes it needs, or that its style asks for.
func (w writer) scalar(n *yaml.Node) (string, error) {
	if n.Kind != yaml.ScalarNode {
		return "", errors.New("a key to write is no text")
	}
	if !utf8.ValidString(n.Value) {
		return "", fmt.Errorf("%q is not UTF-8 text", n.Value)
	}
	style := n.Style
	n.Tag, n.Style = "", 0
	switch {
	case style == plain && w.reads(n.Value):
		return n.Value, nil
	case style == 0 && natural(n.Value) && w.reads(n.Value):
		return n.Value, nil
	case strings.IndexFunc(n.Value, escaped) >= 0:
	case style&yaml.SingleQuotedStyle != 0, style == 0 && strings.ContainsAny(n.Value, `"\\`) && !strings.Contains(n.Value, "'"):
		n.Style = yaml.SingleQuotedStyle
		return "'" + strings.ReplaceAll(n.Value, "'", "''") + "'", nil
	}
	n.Style = yaml.DoubleQuotedStyle
	return quote(n.Value), nil
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

// reads reports whether text without quotes is read back as itself.
func (w writer) reads(text string) bool {
	if simple.MatchString(text) && !empty(Scalar(text)) {
		return true // to ask the parser of every word takes long
	}
	if strings.IndexFunc(text, escaped) >= 0 {
		return false
	}
	line := "k: " + text
	if w.flow {
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

// escaped reports whether r is written by an escape: what a line cannot hold or nobody
// could see.
func escaped(r rune) bool {
	return r != ' ' && !unicode.IsGraphic(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || r == '\ufeff'
}

func quote(text string) string {
	var out strings.Builder
	out.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r == '\n':
			out.WriteString(`\n`)
		case r == '\t':
			out.WriteString(`\t`)
		case escaped(r) && r > 0xffff:
			fmt.Fprintf(&out, `\U%08X`, r)
		case escaped(r):
			fmt.Fprintf(&out, `\u%04X`, r)
		default:
			out.WriteRune(r)
		}
	}
	out.WriteByte('"')
	return out.String()
}

// fold has n and all in it written on one line.
func fold(n *yaml.Node) {
	if n.Kind != yaml.ScalarNode {
		n.Style |= yaml.FlowStyle
	}
}

func clone(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = make([]*yaml.Node, len(n.Content))
	for i, child := range n.Content {
		c.Content[i] = clone(child)
	}
	return &c
}
