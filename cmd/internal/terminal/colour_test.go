package terminal

import (
	"bytes"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Colour goes to a terminal that wants it, through the guard of what else is printed, and what
// is told is the same without it.
func TestColour(t *testing.T) {
	printed := func(colours bool) string {
		var out bytes.Buffer
		w := NewScreen(&guard{to: &out, colours: colours})
		if err := Table(w, 80, []report.Heading{{Title: "set"}, {Title: "reps", Right: true}}, [][]string{{"short\x1b[2J", "12"}}); err != nil {
			t.Fatal(err)
		}
		Faults(w, tags.Faults{{Pos: tags.Pos{File: "none.game.yaml", Line: 3, Column: 5}, What: "unknown outcome \x1b[5mwon\x1b[0m"}, {Pos: tags.Pos{File: "none.game.yaml", Line: 4, Column: 1}, What: "odd", Warning: true}})
		return out.String()
	}
	plain, coloured := printed(false), printed(true)
	if strings.Contains(plain, "\x1b") {
		t.Errorf("without colour it says %q", plain)
	}
	for _, want := range []string{"\x1b[1mset", "\x1b[1;31mnone.game.yaml:3:5", "\x1b[33mnone.game.yaml:4:1"} {
		if !strings.Contains(coloured, want) {
			t.Errorf("no %q in %q", want, coloured)
		}
	}
	if strings.Contains(coloured, "\x1b[2J") || strings.Contains(coloured, "\x1b[5m") {
		t.Errorf("what was read steers the terminal: %q", coloured)
	}
	for _, s := range []style{heading, fault, warning} {
		coloured = strings.ReplaceAll(coloured, "\x1b["+string(s)+"m", "")
	}
	if coloured = strings.ReplaceAll(coloured, "\x1b[0m", ""); coloured != plain {
		t.Errorf("with colour it says %q, without %q", coloured, plain)
	}
}

func TestNoColour(t *testing.T) {
	t.Setenv("TERM", "xterm")
	t.Setenv("NO_COLOR", "")
	if !wantsColour() {
		t.Error("an empty NO_COLOR asks for none")
	}
	t.Setenv("NO_COLOR", "1")
	if wantsColour() {
		t.Error("NO_COLOR is not heeded")
	}
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "dumb")
	if wantsColour() {
		t.Error("a dumb terminal is coloured")
	}
}
