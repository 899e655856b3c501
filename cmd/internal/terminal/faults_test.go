package terminal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// A fault at many places is told once, with its places; each file is named where it changes,
// and what is beyond the limit is counted.
func TestPrintFaults(t *testing.T) {
	at := func(file string, line int) tags.Pos { return tags.Pos{File: file, Line: line, Column: 7} }
	var faults tags.Faults
	for line := range 20 {
		faults.Add(at("none/a.game.yaml", line+1), "unknown move %q", "spinn")
	}
	faults.Add(tags.Pos{File: "none/b.game.yaml"}, "the tag file is empty")
	faults.Warn(at("none/a.game.yaml", 3), "unknown move %q", "spinn")
	faults.Add(at("none/b.game.yaml", 3), "unknown set %q", "x")
	faults.Add(at("none/c.game.yaml", 4), "unknown set %q", "x")
	faults.Add(at("none/c.game.yaml", 5), "unknown set %q", "x")
	faults.Add(at("none/b.game.yaml", 6), "unknown set %q", "x")
	var out strings.Builder
	Faults(&out, faults)
	const want = `none/a.game.yaml:1:7: unknown move "spinn"
  also at 2:7, 3:7, 4:7, 5:7, 6:7, 7:7, 8:7, 9:7, 10:7, 11:7, 12:7, 13:7 and 7 more
none/b.game.yaml: the tag file is empty
none/a.game.yaml:3:7: warning: unknown move "spinn"
none/b.game.yaml:3:7: unknown set "x"
  also at none/c.game.yaml:4:7, 5:7, none/b.game.yaml:6:7
25 faults in 3 files, 1 warning
`
	if diff := cmp.Diff(want, out.String()); diff != "" {
		t.Error(diff)
	}
}

func TestWrapped(t *testing.T) {
	for _, test := range []struct {
		name, text string
		width      int
		want       string
	}{
		{"short", "a b", 10, "a b\n"},
		{"no terminal", "trenchcut: one two three", 0, "trenchcut: one two three\n"},
		{"at words", "trenchcut: one two three", 16, "trenchcut: one\n  two three\n"},
		{"wide letters", "漢字 漢字 漢字", 9, "漢字 漢字\n  漢字\n"},
		{"a word too wide", "see /a/very/long/path here", 10, "see\n  /a/very/long/path\n  here\n"},
		{"two spaces stay", `"a  b" c`, 7, "\"a  b\"\n  c\n"},
		{"several lines", "one two\n  three four", 8, "one two\n  three\n    four\n"},
		{"preformatted", "    a line of a file\n          ^", 8, "    a line of a file\n          ^\n"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := Wrap(test.text, test.width); got != test.want {
				t.Errorf("got\n%q, want\n%q", got, test.want)
			}
		})
	}
}

func TestPlainly(t *testing.T) {
	_, missing := os.Stat("nowhere/a.yaml")
	_, odd := os.ReadDir("faults_test.go")
	for _, test := range []struct {
		err  error
		want string
	}{
		{errors.New("a fault"), "a fault"},
		{missing, "there is no file or folder nowhere/a.yaml"},
		{fmt.Errorf("find games: %w", missing), "find games: there is no file or folder nowhere/a.yaml"},
		{errors.Join(errors.New("x"), fmt.Errorf("y: %w", missing)), "x\ny: there is no file or folder nowhere/a.yaml"},
		{fmt.Errorf("open: %w", &fs.PathError{Op: "open", Path: "b", Err: fs.ErrPermission}), "open: this account may not use b"},
		{odd, odd.Error()},
	} {
		if got := Plainly(test.err); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}
