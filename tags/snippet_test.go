package tags

import (
	"strings"
	"testing"
)

func TestSnippet(t *testing.T) {
	long := strings.Repeat("x", 200)
	for _, test := range []struct {
		name, line string
		column     int
		want       string
	}{
		{"plain", "move: spinn", 7, "    move: spinn\n          ^\n"},
		{"tab", "\tmove: spinn", 8, "        move: spinn\n              ^\n"},
		{"tab within", "a\tb: x", 3, "    a    b: x\n         ^\n"},
		{"wide letters", "漢字: x", 5, "    漢字: x\n          ^\n"},
		{"a letter of two characters", "e\u0301\U0001f1e8\U0001f1edb", 5, "    e\u0301\U0001f1e8\U0001f1edb\n       ^\n"},
		{"characters, not bytes", "Tāvita: ʻo", 9, "    Tāvita: ʻo\n            ^\n"},
		{"combining mark", "Ta\u0304v: x", 7, "    Ta\u0304v: x\n         ^\n"},
		{"past the end", "ab", 9, "    ab\n      ^\n"},
		{"no column", "  ab", 1, "      ab\n      ^\n"},
		{"escape", "a\x1b[31mb", 1, "    a\ufffd[31mb\n    ^\n"},
		{"long and wide", strings.Repeat("漢", 60), 50, "    " + strings.Repeat("漢", 29) + "\n    " + strings.Repeat(" ", 36) + "^\n"},
		{"long", long, 150, "    " + long[:72] + "\n    " + strings.Repeat(" ", 36) + "^\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := Snippet(test.line, test.column); got != test.want {
				t.Errorf("got\n%q, want\n%q", got, test.want)
			}
		})
	}
}
