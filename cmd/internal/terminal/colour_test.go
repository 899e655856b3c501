package terminal

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Colour goes to a terminal that wants it, through the guard of what else is printed, and what
// is told is the same without it.
func TestColour(t *testing.T) {
	printed := func(colours bool) string {
		var out bytes.Buffer
		w := NewScreen(&guard{to: &out, colours: colours})
		if err := Table(w, 80, []report.Heading{{Title: "set"}, {Title: "ended", Wins: []string{"sack"}}, {Title: "reps", Right: true}}, [][]string{{"short\x1b[2J", "sack", "12"}, {"short", "lost", "3"}}); err != nil {
			t.Fatal(err)
		}
		Faults(w, tags.Faults{{Pos: tags.Pos{File: "none.game.yaml", Line: 3, Column: 5}, What: "unknown outcome \x1b[5mwon\x1b[0m"}, {Pos: tags.Pos{File: "none.game.yaml", Line: 4, Column: 1}, What: "odd", Warning: true}})
		return out.String()
	}
	plain, coloured := printed(false), printed(true)
	if strings.Contains(plain, "\x1b") {
		t.Errorf("without colour it says %q", plain)
	}
	for _, want := range []string{"\x1b[1mset", "\x1b[1;31mnone.game.yaml:3:5", "\x1b[33mnone.game.yaml:4:1", "\x1b[32msack"} {
		if !strings.Contains(coloured, want) {
			t.Errorf("no %q in %q", want, coloured)
		}
	}
	if strings.Contains(coloured, "\x1b[2J") || strings.Contains(coloured, "\x1b[5m") {
		t.Errorf("what was read steers the terminal: %q", coloured)
	}
	for _, s := range []style{heading, fault, warning, win} {
		coloured = strings.ReplaceAll(coloured, "\x1b["+string(s)+"m", "")
	}
	if coloured = strings.ReplaceAll(coloured, "\x1b[0m", ""); coloured != plain {
		t.Errorf("with colour it says %q, without %q", coloured, plain)
	}
}

// Time is said to be left once it can be told, and the line never grows past the terminal.
func TestTimeLeft(t *testing.T) {
	for _, c := range []struct {
		gone       time.Duration
		done, left int64
		want       string
	}{
		{time.Second, 50, 50, ""},
		{3 * time.Second, 0, 50, ""},
		{3 * time.Second, 50, 0, ""},
		{3 * time.Second, 10, 90, "27 s left"},
		{10 * time.Second, 10, 90, "1 min 30 s left"},
		{time.Minute, 10, 90, "9 min left"},
		{time.Hour, 1, 2, "2 h 0 min left"},
		{2 * time.Second, 1000, 1, "1 s left"},
	} {
		if got := timeLeft(c.gone, c.done, c.left); got != c.want {
			t.Errorf("%v gone, %d done, %d left: %q, want %q", c.gone, c.done, c.left, got, c.want)
		}
	}
	for _, width := range []int{80, 100, 200} {
		for _, stage := range []string{"cutting", "looking at the film", "writing the contact sheet"} {
			said := stage + ", 2 min 59 s left 100% |" + "| (216000/216000"
			if width >= roomy {
				said += ", 9999 frames/s"
			}
			if line := Cells(said+")") + barWidth(width, stage, "frames", 216000); line >= width {
				t.Errorf("%q takes %d of %d", stage, line, width)
			}
		}
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
