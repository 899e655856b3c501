package main

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
		{"tab", "\tmove: spinn", 8, "    \tmove: spinn\n    \t      ^\n"},
		{"characters, not bytes", "Tāvita: ʻo", 9, "    Tāvita: ʻo\n            ^\n"},
		{"combining mark", "Ta\u0304v: x", 7, "    Ta\u0304v: x\n         ^\n"},
		{"past the end", "ab", 9, "    ab\n      ^\n"},
		{"no column", "  ab", 1, "      ab\n      ^\n"},
		{"escape", "a\x1b[31mb", 1, "    a\ufffd[31mb\n    ^\n"},
		{"long", long, 150, "    " + long[:72] + "\n    " + strings.Repeat(" ", 36) + "^\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := snippet(test.line, test.column); got != test.want {
				t.Errorf("got\n%q, want\n%q", got, test.want)
			}
		})
	}
}
