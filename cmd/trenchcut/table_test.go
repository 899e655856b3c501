package main

import (
	"bytes"
	"strings"
	"testing"
)

func TestPrintTable(t *testing.T) {
	columns := []column{{title: "rep"}, {title: "n", right: true}, {title: "moves", least: 5}}
	for _, test := range []struct {
		name  string
		width int
		rows  [][]string
		want  string
	}{
		{
			"fits", 80,
			[][]string{{"heading, wider than its columns"}, {"a", "10", "bull"}, {"b", "9", ""}},
			"rep   n  moves\nheading, wider than its columns\na    10  bull\nb     9\n",
		},
		{"closer", 12, [][]string{{"a", "10", "bull"}}, "rep  n moves\na   10 bull\n"},
		{"cut", 15, [][]string{{"abc", "1", "long-arm>spin"}}, "rep n moves\nabc 1 long-arm…\n"},
		{"no narrower", 5, [][]string{{"abc", "1", "long-arm>spin"}}, "rep n moves\nabc 1 long…\n"},
		{"control characters", 80, [][]string{{"a\nb", "1", "\x1b[2J"}}, "rep  n  moves\na b  1  \ufffd[2J\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			var out bytes.Buffer
			if err := printTable(&out, test.width, columns, test.rows); err != nil {
				t.Fatal(err)
			}
			if out.String() != test.want {
				t.Errorf("got\n%s\nwant\n%s", out.String(), test.want)
			}
		})
	}
}

func TestPrintWrapped(t *testing.T) {
	var out bytes.Buffer
	text := strings.Repeat("six on runs, ", 30)
	if err := printWrapped(&out, 40, text); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(out.String(), "\n") {
		if textWidth(line) > 40 {
			t.Errorf("line %q is over 40 wide", line)
		}
	}
	if got := strings.Join(strings.Fields(out.String()), " "); got != strings.TrimSpace(text) {
		t.Errorf("words were lost: %q", got)
	}
}
