package tags

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"gopkg.in/yaml.v3"
)

// mapping makes a mapping of scalars from keys and values in turn.
func mapping(words ...string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	for _, w := range words {
		n.Content = append(n.Content, Scalar(w))
	}
	return n
}

func list(words ...string) *yaml.Node {
	n := mapping(words...)
	n.Kind = yaml.SequenceNode
	return n
}

func TestSplice(t *testing.T) {
	nested := mapping("play", "15", "type", "run")
	nested.Content = append(nested.Content, Scalar("extra"), mapping("Coverage Shell", "two-high"))
	folded := mapping("in", "1s", "note", "a, b")
	folded.Style = yaml.FlowStyle
	tests := []struct {
		name, data string
		edits      []Edit
		want       string
	}{
		{"plain", "a: 1   # one\nb: 2\n", []Edit{Replace(Path{"a"}, "three")}, "a: three   # one\nb: 2\n"},
		{"double quotes stay", `a: "1:30" # x`, []Edit{Replace(Path{"a"}, "2")}, `a: "2" # x`},
		{"single quotes stay", "a: 'it''s'\n", []Edit{Replace(Path{"a"}, "it's \"his\"")}, "a: 'it''s \"his\"'\n"},
		{"single quotes cannot", "a: 'x'\n", []Edit{Replace(Path{"a"}, "x\ny")}, "a: \"x\\ny\"\n"},
		{"a plain clock stays plain", "clock: 11:32\n", []Edit{Replace(Path{"clock"}, "10:59")}, "clock: 10:59\n"},
		{"a clock is quoted", "a: x\n", []Edit{Replace(Path{"a"}, "10:59")}, "a: \"10:59\"\n"},
		{"a leading zero is quoted", "a: 1\n", []Edit{Replace(Path{"a"}, "091")}, "a: \"091\"\n"},
		{"what reads as nothing is quoted", "a: 1\n", []Edit{Replace(Path{"a"}, "~")}, "a: \"~\"\n"},
		{"empty text", "a: 1\n", []Edit{Replace(Path{"a"}, "")}, "a: \"\"\n"},
		{"a comment would begin", "a: 1\n", []Edit{Replace(Path{"a"}, "x # y")}, "a: \"x # y\"\n"},
		{"in flow", "a: {b: 1, c: [2, 3]}\n", []Edit{Replace(Path{"a", "c", 1}, "x, y")}, "a: {b: 1, c: [2, \"x, y\"]}\n"},
		{"nothing yet", "a:   # soon\nb: 2\n", []Edit{Replace(Path{"a"}, "x")}, "a: x   # soon\nb: 2\n"},
		{"runes and a tab", "é: \"ʻō\t\" # 漢字\n", []Edit{Replace(Path{"é"}, "Loʻimata")}, "é: \"Loʻimata\" # 漢字\n"},
		{"byte order mark and CRLF", "\ufeffa: 1\r\nb: 2\r\n", []Edit{Replace(Path{"a"}, "3"), Insert(Path{}, "c", Scalar("4"))}, "\ufeffa: 3\r\nb: 2\r\nc: 4\r\n"},
		{"no line break at the end", "a: 1", []Edit{Insert(Path{}, "b", Scalar("2"))}, "a: 1\nb: 2"},

		{"insert behind", "p:\n  a: 1 # one\n  # of z\n  z: 2\n", []Edit{Insert(Path{"p"}, "b", Scalar("x"), "a", "nowhere")}, "p:\n  a: 1 # one\n  b: x\n  # of z\n  z: 2\n"},
		{"insert behind the last named, wherever it stands", "z: 1\nb: 2\na: 3\n", []Edit{Insert(Path{}, "c", Scalar("x"), "a", "b")}, "z: 1\nb: 2\nc: x\na: 3\n"},
		{"times in an item on one line", "plays:\n  - {play: 1, in: 0:00:10}\n", []Edit{Append(Path{"plays"}, &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{Scalar("in"), Bare("0:00:20.500")}})}, "plays:\n  - {play: 1, in: 0:00:10}\n  - {in: 0:00:20.500}\n"},
		{"insert two in order", "a: 1\nz: 2\n", []Edit{Insert(Path{}, "b", Scalar("x"), "a"), Insert(Path{}, "c", Scalar("y"), "a", "b")}, "a: 1\nb: x\nc: y\nz: 2\n"},
		{"insert behind a list", "a:\n- 1\n- x: 2\n  y: [3,\n   4]\nz: 5\n", []Edit{Insert(Path{}, "b", Scalar("x"), "a")}, "a:\n- 1\n- x: 2\n  y: [3,\n   4]\nb: x\nz: 5\n"},
		{"insert behind text that keeps its end", "a: |+\n  x\n\n\nz: 1\n", []Edit{Insert(Path{}, "b", Scalar("x"), "a")}, "a: |+\n  x\n\n\nb: x\nz: 1\n"},
		{"insert into flow", "a: { b: 1 , }\n", []Edit{Insert(Path{"a"}, "c", Scalar("x"))}, "a: { b: 1, c: x , }\n"},
		{"insert into empty flow", "a: {}\n", []Edit{Insert(Path{"a"}, "c", Scalar("x")), Insert(Path{"a"}, "d", Scalar("y"))}, "a: {c: x, d: y}\n"},
		{"insert into flow over lines", "a: {b: 1, # one\n    c: 2 # two\n   }\n", []Edit{Insert(Path{"a"}, "d", Scalar("x"))}, "a: {b: 1, # one\n    c: 2, d: x # two\n   }\n"},
		{"insert behind a key alone", "a: {b, c}\n", []Edit{Insert(Path{"a"}, "d", Scalar("x"))}, "a: {b, c, d: x}\n"},
		{"a child and then its list", "plays:\n- play: 1\n", []Edit{Append(Path{"plays"}, mapping("play", "2")), Insert(Path{"plays", 0}, "down", Scalar("3"))}, "plays:\n- play: 1\n  down: 3\n- play: 2\n"},
		{"insert into nothing", "a:\n  b: # soon\nz: 1\n", []Edit{Insert(Path{"a", "b"}, "c", Scalar("x")), Insert(Path{"a", "b"}, "d", Scalar("y"))}, "a:\n  b: # soon\n    c: x\n    d: y\nz: 1\n"},
		{"a key with nothing after it", "a:\n  b: # soon\n", []Edit{Insert(Path{"a"}, "b", Scalar("x"))}, "a:\n  b: x # soon\n"},
		{"a mapping for a key with nothing", "a:\n  b: # soon\n  c: 1\n", []Edit{Insert(Path{"a"}, "b", mapping("x", "1", "y", "2"))}, "a:\n  b: # soon\n    x: 1\n    y: 2\n  c: 1\n"},
		{"insert a mapping", "a:\n    b: 1\n", []Edit{Insert(Path{"a"}, "c", mapping("x", "1", "y", "2"))}, "a:\n    b: 1\n    c:\n      x: 1\n      y: 2\n"},

		{"append", "plays:\n  - play: 14\n    type: dropback\n# the end\n", []Edit{Append(Path{"plays"}, nested)}, "plays:\n  - play: 14\n    type: dropback\n  - play: 15\n    type: run\n    extra:\n      Coverage Shell: two-high\n# the end\n"},
		{"append with a blank line between", "plays:\n- play: 1\n\n# of two\n- play: 2\nz: 1\n", []Edit{Append(Path{"plays"}, mapping("play", "3")), Append(Path{"plays"}, mapping("play", "4"))}, "plays:\n- play: 1\n\n# of two\n- play: 2\n\n- play: 3\n\n- play: 4\nz: 1\n"},
		{"append as the last one is", "plays:\n  - {play: 1}\n", []Edit{Append(Path{"plays"}, nested)}, "plays:\n  - {play: 1}\n  - {play: 15, type: run, extra: {Coverage Shell: two-high}}\n"},
		{"append to flow", "move: [bull, rip]\n", []Edit{Append(Path{"move"}, Scalar("spin"))}, "move: [bull, rip, spin]\n"},
		{"append to empty flow", "move: []\n", []Edit{Append(Path{"move"}, Scalar("spin")), Append(Path{"move"}, Scalar("rip"))}, "move: [spin, rip]\n"},
		{"append a play to none", "plays: [] # none yet\nz: 1\n", []Edit{Append(Path{"plays"}, mapping("play", "3", "type", "run")), Append(Path{"plays"}, mapping("play", "4"))}, "plays:  # none yet\n  - play: 3\n    type: run\n  - play: 4\nz: 1\n"},
		{"append to nothing", "plays:\nz: 1\n", []Edit{Append(Path{"plays"}, folded)}, "plays:\n  - {in: 1s, note: \"a, b\"}\nz: 1\n"},
		{"append to a list in a list", "- - 1\n  - 2\n- 3\n", []Edit{Append(Path{0}, list("x", "y"))}, "- - 1\n  - 2\n  - - x\n    - y\n- 3\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Splice([]byte(tt.data), tt.edits...)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, string(got)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestSpliceRefuses(t *testing.T) {
	tests := []struct {
		name, data string
		edit       Edit
		want       string
	}{
		{"alias", "a: &x 1\nb: *x\n", Replace(Path{"b"}, "2"), "alias *x"},
		{"anchor", "a: &x 1\nb: *x\n", Replace(Path{"a"}, "2"), "anchor &x"},
		{"anchor above", "a: &x {b: 1}\nb: *x\n", Insert(Path{"a"}, "c", Scalar("1")), "anchor &x"},
		{"through an alias", "a: &x {b: 1}\nb: *x\n", Replace(Path{"b", "b"}, "2"), "alias *x"},
		{"merged", "a: &x {b: 1}\nb: {<<: *x}\n", Insert(Path{"b"}, "c", Scalar("2")), "by <<"},
		{"tag", "a: !!str 1\n", Replace(Path{"a"}, "2"), "a tag"},
		{"no such key or item", "a: 1\n", Replace(Path{"b"}, "2"), "no such key"},
		{"no such key or item", "a: [1]\n", Replace(Path{"a", 1}, "2"), "no such key or item"},
		{"key there", "a: 1\n", Insert(Path{}, "a", Scalar("2")), "the key is there, at line 1"},
		{"replace a mapping", "a: {b: 1}\n", Replace(Path{"a"}, "2"), "no single value"},
		{"insert into text", "a: x\n", Insert(Path{"a"}, "b", Scalar("2")), "no mapping"},
		{"append to text", "a: x\n", Append(Path{"a"}, Scalar("2")), "no list"},
		{"two documents", "a: 1\n---\nb: 2\n", Replace(Path{"a"}, "2"), "second document"},
		{"no YAML", "a: [1\n", Replace(Path{"a"}, "2"), "not YAML"},
		{"NUL", "a: \x00\n", Replace(Path{"a"}, "2"), "want UTF-8 text"},
		{"no UTF-8 to write", "a: 1\n", Replace(Path{"a"}, "\xff"), "not UTF-8"},
		{"over lines", "a: one\n  two\n", Replace(Path{"a"}, "x"), "does not stand on one line"},
		{"quotes over lines", "a: 'one\n  two'\n", Replace(Path{"a"}, "x"), "does not stand on one line"},
		{"literal", "a: |\n  one\n", Replace(Path{"a"}, "x"), "does not stand on one line"},
		{"no colon", "a: {b, c}\n", Insert(Path{"a"}, "b", Scalar("x")), "no colon stands behind"},
		{"a block for a word", "a: ~ # none\n", Insert(Path{}, "a", mapping("x", "1")), "where a block would begin"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Splice([]byte(tt.data), tt.edit)
			if err == nil {
				t.Fatalf("made %q", got)
			}
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %q does not say %q", err, tt.want)
			}
		})
	}
	for name, edits := range map[string][]Edit{
		"value": {Replace(Path{"a"}, "2"), Replace(Path{"a"}, "3")},
		"key":   {Insert(Path{}, "b", Scalar("2")), Insert(Path{}, "b", Scalar("3"))},
	} {
		if got, err := Splice([]byte("a: 1\n"), edits...); err == nil {
			t.Errorf("two edits of one %s made %q", name, got)
		}
	}
}

// shaker writes random YAML as people do, in every layout an edit may meet.
type shaker struct {
	*rand.Rand
	out strings.Builder
}

func (s *shaker) one(of ...string) string { return of[s.Intn(len(of))] }

func (s *shaker) line(text string) {
	s.out.WriteString(text + s.one("", "", "", " # note: {a: [1", "\t# タブ", "  ") + "\n")
}

func (s *shaker) between(indent int) {
	for s.Intn(5) == 0 {
		s.out.WriteString(s.one("\n", "   \n", spaces(indent)+"# комментарий - x: 'y\n", "# at the margin\n"))
	}
}

// text is a scalar on one line.
func (s *shaker) text(flow bool) string {
	words := []string{
		"7", "x", "wide-9", "two words", "11:32", "091", "1e3", "yes", "~", "Loʻimata", "鈴木 一郎", "с крапкай", "a\tb", "it's", "a#b", "x-y", "-1", "+2.64s", "http://x",
		`"dq"`, `"a \" # \\ b"`, `"tab\t é"`, `"{ [ , ] }"`, `"— \u2028"`, `'sq'`, `'it''s # "x"'`, `'ﾊﾝｶｸ: 1'`, `""`, `''`, "!!str 5",
	}
	if !flow {
		words = append(words, "a, b", "[]", "{}", "what? [no] {x}", "a } b")
	}
	return s.one(words...)
}

func (s *shaker) flow(depth int, indent int) string {
	gap := func() string {
		return s.one("", "", "", " ", " ", "\n"+spaces(indent+1+s.Intn(3)), " # c ]} \"\n"+spaces(indent+1))
	}
	kind := s.Intn(4)
	if depth <= 0 || kind < 2 {
		return s.text(true)
	}
	n := s.Intn(4)
	open, end := "[", "]"
	if kind == 2 {
		open, end = "{", "}"
	}
	text := open + gap()
	for i := range n {
		if kind == 2 {
			text += fmt.Sprintf("k%d", i)
			if s.Intn(6) > 0 {
				text += ": " + s.flow(depth-1, indent)
			} else if s.Intn(2) == 0 {
				text += ": "
			}
		} else {
			text += s.flow(depth-1, indent)
		}
		text += gap()
		if i < n-1 || s.Intn(4) == 0 {
			text += "," + s.one(" ", " ", gap()+" ")
		}
	}
	return text + end
}

// value writes what stands behind a key or dash at indent, the line it stands in begun.
func (s *shaker) value(depth, indent int, key bool) {
	deeper := indent + 1 + s.Intn(4)
	switch kind := s.Intn(12); {
	case kind < 4:
		s.line(" " + s.text(false))
	case kind == 4 && key:
		s.line("")
	case kind == 5:
		s.line(" " + s.one("|", ">", "|-", ">-", "|+", ">+", "|2"))
		s.out.WriteString(spaces(max(deeper, indent+2)) + "text # no comment\n")
		if s.Intn(2) == 0 {
			s.out.WriteString("\n" + spaces(max(deeper, indent+2)) + s.one("тэкст", "- x: y") + "\n")
		}
		for s.Intn(3) == 0 {
			s.out.WriteString("\n")
		}
	case kind == 6:
		s.out.WriteString(" first\n" + spaces(deeper) + "second\n" + s.one("", "\n", "\n\n"))
		s.line(spaces(deeper+2) + "third")
	case kind == 7 || depth <= 0:
		s.line(" " + s.flow(2, indent+1))
	case kind < 10:
		s.line("")
		s.mapping(depth-1, deeper, true)
	default:
		s.line("")
		if key && s.Intn(2) == 0 && indent >= 0 {
			deeper = indent // a list may stand no deeper than its key
		}
		s.list(depth-1, deeper, true)
	}
}

func (s *shaker) mapping(depth, indent int, begun bool) {
	for i := range 1 + s.Intn(4) {
		if i > 0 || begun {
			s.between(indent)
			s.out.WriteString(spaces(indent))
		}
		s.out.WriteString(s.one("k", "ключ", "名前 ", "q-") + strconv.Itoa(i) + s.one("", "", " ") + ":")
		s.value(depth, indent, true)
	}
}

func (s *shaker) list(depth, indent int, begun bool) {
	for i := range 1 + s.Intn(3) {
		if i > 0 || begun {
			s.between(indent)
			s.out.WriteString(spaces(indent))
		}
		s.out.WriteString("-")
		switch {
		case depth > 0 && s.Intn(2) == 0:
			pad := 1 + s.Intn(3)
			s.out.WriteString(spaces(pad))
			s.mapping(depth-1, indent+1+pad, false)
		case depth > 0 && s.Intn(5) == 0:
			s.out.WriteString(" ")
			s.list(depth-1, indent+2, false)
		default:
			s.value(depth, indent, false)
		}
	}
}

func (s *shaker) file() []byte {
	s.out.Reset()
	s.between(0)
	if s.Intn(4) > 0 {
		s.mapping(4, 0, true)
	} else {
		s.list(4, 0, true)
	}
	s.between(0)
	text := s.out.String()
	if s.Intn(5) == 0 {
		text = strings.TrimRight(text, "\n")
	}
	text = strings.ReplaceAll(text, "\n", s.one("\n", "\n", "\n", "\r\n", "\r\n", "\r"))
	return []byte(s.one("", "", "", "\ufeff") + text)
}

// targets is every path in a tree at which an edit of a kind can be asked for.
func targets(n *yaml.Node, at Path, verb verb) []Path {
	if n.Kind == yaml.AliasNode || n.Anchor != "" || n.Style&yaml.TaggedStyle != 0 {
		return nil
	}
	var paths []Path
	switch {
	case verb == replacing && n.Kind == yaml.ScalarNode, verb == inserting && n.Kind == yaml.MappingNode, verb == appending && n.Kind == yaml.SequenceNode:
		paths = append(paths, at)
	}
	for i, child := range n.Content {
		var step any
		switch {
		case n.Kind == yaml.SequenceNode:
			step = i
		case i%2 == 0:
			continue
		default:
			step = n.Content[i-1].Value
		}
		paths = append(paths, targets(child, append(append(Path{}, at...), step), verb)...)
	}
	return paths
}

// randomEdit is one edit of data, the same as applied to plain Go values by apply.
func randomEdit(r *rand.Rand, root *yaml.Node, text string) (Edit, bool) {
	verb := verb(r.Intn(3))
	paths := targets(root, Path{}, verb)
	if len(paths) == 0 {
		return Edit{}, false
	}
	at := paths[r.Intn(len(paths))]
	value := Scalar(text)
	switch r.Intn(3) {
	case 0:
		value = mapping("новы", text, "b", "2")
	case 1:
		value = list(text, "2")
	}
	switch verb {
	case replacing:
		return Replace(at, text), true
	case inserting:
		return Insert(at, "new key", value, "k0", "k1", "ключ1"), true
	default:
		return Append(at, value), true
	}
}

// asText is a tree as Go values, every scalar its text, null an empty mapping's stand-in:
// what the edits are checked against by other means than the splicer's own.
func asText(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = asText(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		l := []any{}
		for _, c := range n.Content {
			l = append(l, asText(c))
		}
		return l
	case yaml.AliasNode:
		return "*" + n.Value
	default:
		if empty(n) {
			return nil
		}
		return n.Value
	}
}

func apply(v any, e Edit, at Path) any {
	if len(at) > 0 {
		switch step := at[0].(type) {
		case int:
			l := append([]any{}, v.([]any)...)
			l[step] = apply(l[step], e, at[1:])
			return l
		default:
			m := map[string]any{}
			maps.Copy(m, v.(map[string]any))
			m[step.(string)] = apply(m[step.(string)], e, at[1:])
			return m
		}
	}
	switch e.verb {
	case replacing:
		return e.value.Value
	case inserting:
		m := map[string]any{e.key: asText(e.value)}
		maps.Copy(m, v.(map[string]any))
		return m
	default:
		return append(append([]any{}, v.([]any)...), asText(e.value))
	}
}

// kept fails where the edit touched a byte that was not its own.
func kept(t *testing.T, data, out []byte, e Edit, root *yaml.Node) {
	t.Helper()
	prefix, suffix := 0, 0
	for prefix < min(len(data), len(out)) && data[prefix] == out[prefix] {
		prefix++
	}
	for suffix < min(len(data), len(out))-prefix && data[len(data)-1-suffix] == out[len(out)-1-suffix] {
		suffix++
	}
	lost := string(data[prefix : len(data)-suffix])
	own := ""
	if e.verb == replacing {
		n := root
		for _, step := range e.at {
			if i, ok := step.(int); ok {
				n = n.Content[i]
			} else {
				n = n.Content[keyOf(n, step.(string))+1]
			}
		}
		own = n.Value
	}
	// Of what is replaced the quotes, escapes, folds and indents go too, and no more.
	letters := func(s string) string {
		return strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) {
				return r
			}
			return -1
		}, s)
	}
	if e.verb == appending && strings.HasPrefix(strings.TrimSpace(lost), "[") { // an empty list that is no longer one line
		lost = strings.TrimLeft(lost, "[] \t")
		if bytes.Contains(out[prefix:], []byte(lost)) {
			lost = ""
		}
	}
	if e.verb != replacing && strings.TrimSpace(lost) != "" || e.verb == replacing && len(letters(lost)) > len(letters(own))+8 {
		t.Errorf("%s lost %q", e, lost)
	}
}

// Whatever the layout, an edit does what it says and touches nothing else, and none is
// refused that a person could make.
func TestSpliceAnyLayout(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	s := &shaker{Rand: r}
	texts := []string{"x", "7", "a: b", "# no", "", "12:31", "null", "two words", "it's", `say "so"`, "a\nb", "a, [b]", "Loʻimata 漢字", "- x", " lead", "091", "\t", "\u2028", "%x", "@y", "`z", "é\u0301", "🏈"}
	made, bad, refused := 0, 0, 0
	for made < 6000 {
		data := s.file()
		root, err := parseYAML(data)
		if err != nil {
			bad++
			continue
		}
		for range 4 {
			e, ok := randomEdit(r, root, texts[r.Intn(len(texts))])
			if !ok {
				continue
			}
			made++
			out, err := Splice(data, e)
			if err != nil {
				if refusable(err) {
					refused++
					continue
				}
				t.Fatalf("%s of\n%q\n%v", e, data, err)
			}
			got, err := parseYAML(out)
			if err != nil {
				t.Fatalf("%s: %v\n%s\nbecame\n%s", e, err, data, out)
			}
			if want := apply(asText(root), e, e.at); !reflect.DeepEqual(want, asText(got)) {
				t.Fatalf("%s of\n%s\nmade\n%s\n%s", e, data, out, cmp.Diff(want, asText(got)))
			}
			kept(t, data, out, e, root)
		}
	}
	if refused > made/8 {
		t.Errorf("%d of %d edits were refused", refused, made)
	}
	if bad > made/10 {
		t.Errorf("%d files were no YAML of %d edits made: the generator is broken", bad, made)
	}
}

// refusable is what may be refused, because no edit could keep all that is there.
func refusable(err error) bool {
	for _, said := range []string{"the file ends within this text", "does not stand on one line", "no colon stands behind"} {
		if strings.Contains(err.Error(), said) {
			return true
		}
	}
	return false
}

func FuzzSplice(f *testing.F) {
	for _, pattern := range []string{"testdata/*.game.yaml", "../templates/demo/*.game.yaml"} {
		for _, data := range seedFiles(f, pattern) {
			f.Add(data, "Loʻimata: \"9\"", int64(1))
			f.Add(bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")), "x", int64(2))
			f.Add(append([]byte("\ufeff"), data...), "\t# x", int64(3))
		}
	}
	s := &shaker{Rand: rand.New(rand.NewSource(2))}
	for i := range 40 {
		f.Add(s.file(), "a b", int64(i))
	}
	f.Fuzz(func(t *testing.T, data []byte, text string, seed int64) {
		root, err := parseYAML(data)
		if err != nil {
			return
		}
		e, ok := randomEdit(rand.New(rand.NewSource(seed)), root, text)
		if !ok {
			return
		}
		out, err := Splice(data, e)
		if err != nil {
			return
		}
		if _, err := parseYAML(out); err != nil {
			t.Fatalf("%s: %v", e, err)
		}
		if len(out) < len(data) && e.verb != replacing {
			t.Errorf("%s made the file shorter", e)
		}
		kept(t, data, out, e, root)
	})
}

func seedFiles(f *testing.F, pattern string) [][]byte {
	f.Helper()
	files, err := globbed(pattern)
	if err != nil {
		f.Fatal(err)
	}
	var all [][]byte
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		all = append(all, data)
	}
	return all
}

// globbed is the files that match, of which there must be some.
func globbed(pattern string) ([]string, error) {
	files, err := filepath.Glob(pattern)
	if err == nil && len(files) == 0 {
		err = fmt.Errorf("no file matches %s", pattern)
	}
	return files, err
}
