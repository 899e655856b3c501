package tags

import (
	"strings"
	"testing"
)

func TestRemove(t *testing.T) {
	for name, c := range map[string]struct {
		data string
		at   Path
		want string // empty where it fails
	}{
		"first of a flow":       {"a: {b: 1, c: 2} # c\n", Path{"a", "b"}, "a: {c: 2} # c\n"},
		"last of a flow":        {"a: {b: 1, c: \"x, y\"}\nd: 1\n", Path{"a", "c"}, "a: {b: 1}\nd: 1\n"},
		"amid a flow":           {"a: {b: 1, c: 2, d: 3}\n", Path{"a", "c"}, "a: {b: 1, d: 3}\n"},
		"all of a flow":         {"- {a: 1, b: {c: 2}, d: 3}\n", Path{0, "b", "c"}, "- {a: 1, d: 3}\n"},
		"all of a flow, last":   {"- {a: 1, b: {c: 2}}\n", Path{0, "b", "c"}, "- {a: 1}\n"},
		"a line":                {"a: 1\nb: 2 # two\n# three\nc: 3\n", Path{"b"}, "a: 1\n# three\nc: 3\n"},
		"lines, indented":       {"p:\n  - a: 1\n    b:\n      c: 2\n    d: 3\r\n", Path{"p", 0, "b", "c"}, "p:\n  - a: 1\n    d: 3\r\n"},
		"behind a dash":         {"- a: 1 # one\n  b: 2\n", Path{0, "a"}, "- b: 2\n"},
		"the last line":         {"a: 1\nb: 2", Path{"b"}, "a: 1\n"},
		"not there":             {"a: 1\n", Path{"b"}, ""},
		"an item":               {"a: [1, 2]\n", Path{"a", 0}, "a: [2]\n"},
		"through an alias":      {"a: &x {b: 1, d: 2}\nc: *x\n", Path{"c", "b"}, ""},
		"what an anchor may be": {"a: &x {b: 1, d: 2}\nc: *x\n", Path{"a", "b"}, ""},
		"everything":            {"a: 1\n", nil, ""},
	} {
		got, err := Splice([]byte(c.data), Remove(c.at))
		if string(got) != c.want || (err != nil) != (c.want == "") {
			t.Errorf("%s: %q (%v), want %q", name, got, err, c.want)
		}
		if err != nil && !strings.HasPrefix(err.Error(), "remove ") {
			t.Errorf("%s: error %q does not say what failed", name, err)
		}
	}
}
