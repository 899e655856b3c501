package tags

import (
	"maps"
	"math/rand"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gopkg.in/yaml.v3"
)

func TestSpliceItems(t *testing.T) {
	flow := func(n *yaml.Node) *yaml.Node { n.Style = yaml.FlowStyle; return n }
	plays := "plays:\n  # the first\n  - play: 1\n    type: run\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - 91 9 bull lost # why?\n      - 55 5 rip won\nz: 1\n"
	tests := []struct {
		name, data string
		edit       Edit
		want       string
	}{
		{"between two", plays, InsertItem(Path{"plays"}, 1, mapping("play", "2")), "plays:\n  # the first\n  - play: 1\n    type: run\n\n  - play: 2\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - 91 9 bull lost # why?\n      - 55 5 rip won\nz: 1\n"},
		{"before all", plays, InsertItem(Path{"plays"}, 0, mapping("play", "0")), "plays:\n  - play: 0\n\n  # the first\n  - play: 1\n    type: run\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - 91 9 bull lost # why?\n      - 55 5 rip won\nz: 1\n"},
		{"before all of a list at the top", "- 1\n- 2\n", InsertItem(Path{}, 0, Scalar("x")), "- x\n- 1\n- 2\n"},
		{"behind all", "a: [1, 2]\n", InsertItem(Path{"a"}, 9, Scalar("x")), "a: [1, 2, x]\n"},
		{"into brackets", "a: [1, 2]\n", InsertItem(Path{"a"}, 1, Scalar("x")), "a: [1, x, 2]\n"},
		{"a key before all", "a: {c: 1, d: 2}\n", Insert(Path{"a"}, "b", Scalar("0")).OrFirst(), "a: {b: 0, c: 1, d: 2}\n"},
		{"a key before all lines", "- c: 1 # c\n  d: 2\n", Insert(Path{0}, "b", Scalar("0"), "c").OrFirst(), "- c: 1 # c\n  b: 0\n  d: 2\n"},
		{"a key before all lines below a key", "a:\n  # c\n  c: 1\n", Insert(Path{"a"}, "b", Scalar("0")).OrFirst(), "a:\n  b: 0\n  # c\n  c: 1\n"},
		{"apart from the only one", "a:\n  - b: 1\n", Append(Path{"a"}, mapping("b", "2")).Apart(), "a:\n  - b: 1\n\n  - b: 2\n"},
		{"not apart where the list is close", "a:\n  - b: 1\n  - b: 2\n", Append(Path{"a"}, mapping("b", "3")).Apart(), "a:\n  - b: 1\n  - b: 2\n  - b: 3\n"},
		{"the first is removed", plays, Remove(Path{"plays", 0}), "plays:\n  # the first\n  # the second\n  - play: 3 # no call\n    reps:\n      - 91 9 bull lost # why?\n      - 55 5 rip won\nz: 1\n"},
		{"the last is removed", plays, Remove(Path{"plays", 1}), "plays:\n  # the first\n  - play: 1\n    type: run\n\n  # the second\nz: 1\n"},
		{"one rep is removed", plays, Remove(Path{"plays", 1, "reps", 0}), "plays:\n  # the first\n  - play: 1\n    type: run\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - 55 5 rip won\nz: 1\n"},
		{"the only one is removed with its key", "a: 1\nb:\n  - c: 2\n    d: 3\ne: 4\n", Remove(Path{"b", 0}), "a: 1\ne: 4\n"},
		{"out of brackets", "a: [1, 2, 3]\n", Remove(Path{"a", 1}), "a: [1, 3]\n"},
		{"the first out of brackets", "a: [1, 2, 3]\n", Remove(Path{"a", 0}), "a: [2, 3]\n"},
		{"a text behind it", "- a: |\n    # text\n\n- b: 1\n- c: 2\n", Remove(Path{0}), "- b: 1\n- c: 2\n"},
		{"a mapping for a line", plays, Put(Path{"plays", 1, "reps", 0}, mapping("rusher", "91", "align", "9")), "plays:\n  # the first\n  - play: 1\n    type: run\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - rusher: 91\n        align: 9 # why?\n      - 55 5 rip won\nz: 1\n"},
		{"a line for a line", plays, Put(Path{"plays", 1, "reps", 1}, Scalar("55 5 rip lost")), "plays:\n  # the first\n  - play: 1\n    type: run\n\n  # the second\n  - play: 3 # no call\n    reps:\n      - 91 9 bull lost # why?\n      - 55 5 rip lost\nz: 1\n"},
		{"brackets for brackets", "a: [1, 2] # x\n", Put(Path{"a"}, flow(list("3", "4", "5"))), "a: [3, 4, 5] # x\n"},
		{"brackets in brackets", "a: {b: [1, 2 ] , c: 3}\n", Put(Path{"a", "b"}, flow(list("4"))), "a: {b: [4] , c: 3}\n"},
		{"brackets for a text", "a: bull>rip # x\n", Put(Path{"a"}, flow(list("bull", "spin"))), "a: [bull, spin] # x\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Splice([]byte(tt.data), tt.edit)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, string(got)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// Whatever the layout, an item goes in and comes out where it was asked for, no other text is
// lost, and what goes in and comes out again leaves the file as it was.
func TestSpliceItemsAnyLayout(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	s := &shaker{Rand: r}
	made, refused, back := 0, 0, 0
	for made < 3000 {
		data := s.file()
		root, err := parseYAML(data)
		if err != nil {
			continue
		}
		paths := targets(root, Path{}, appending)
		if len(paths) == 0 {
			continue
		}
		made++
		at := paths[r.Intn(len(paths))]
		items := asText(root)
		for _, step := range at {
			if i, ok := step.(int); ok {
				items = items.([]any)[i]
			} else {
				items = items.(map[string]any)[step.(string)]
			}
		}
		n := len(items.([]any))
		i := r.Intn(n + 1)
		out, err := Splice(data, InsertItem(at, i, Scalar("новы")))
		if err != nil {
			refused++
			continue
		}
		got, err := parseYAML(out)
		if err != nil {
			t.Fatal(err)
		}
		want := edited(asText(root), at, func(l []any) []any { return slices.Insert(slices.Clone(l), i, any("новы")) })
		if !reflect.DeepEqual(want, asText(got)) {
			t.Fatalf("%s[%d] of\n%s\nmade\n%s\n%s", at, i, data, out, cmp.Diff(want, asText(got)))
		}
		if n == 0 {
			continue
		}
		again, err := Splice(out, Remove(append(slices.Clone(at), i)))
		if err != nil {
			refused++
			continue
		}
		if strings.Join(strings.Fields(string(again)), "") != strings.Join(strings.Fields(string(data)), "") {
			t.Fatalf("%s[%d] went in and out of\n%s\nand left\n%s", at, i, data, again)
		}
		if string(again) == string(data) {
			back++
		}
	}
	if refused > made/8 || back < made/3 {
		t.Errorf("of %d files %d refused, %d came back byte for byte", made, refused, back)
	}
}

// edited is a tree with one of its lists changed.
func edited(v any, at Path, change func([]any) []any) any {
	if len(at) == 0 {
		return change(v.([]any))
	}
	if i, ok := at[0].(int); ok {
		l := slices.Clone(v.([]any))
		l[i] = edited(l[i], at[1:], change)
		return l
	}
	m := map[string]any{}
	maps.Copy(m, v.(map[string]any))
	m[at[0].(string)] = edited(m[at[0].(string)], at[1:], change)
	return m
}
