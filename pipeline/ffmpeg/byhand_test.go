package ffmpeg

import (
	"errors"
	"os/exec"
	"strings"
	"testing"
)

// A command line pasted into a shell has the arguments it was written from, and nothing in
// it reaches the terminal as a control character.
func TestCommandLine(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("there is no bash")
	}
	args := []string{
		"plain", "", "two words", "it's", `back\slash`, `it's a back\slash` + "\n", "line\nbreak", "esc\x1b[31mred", "tab\t", "c1 \u0085 \u009b",
		"\u202eturned about", "$HOME `id` $(id) !! * ? ~ # ; & | < >", "試合", "-dash", "invalid \xff utf-8", "~", "{a,b}", "=x", "\x7f'",
	}
	line := commandLine(append([]string{"printf", `%s\0`}, args...))
	for _, r := range line {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r == '\u202e' {
			t.Errorf("%U stands in %q", r, line)
		}
	}
	out, err := exec.Command(bash, "-c", line).Output()
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00")
	if len(got) != len(args) {
		t.Fatalf("%d arguments, want %d: %q", len(got), len(args), got)
	}
	for i := range args {
		if got[i] != args[i] {
			t.Errorf("argument %q came out as %q", args[i], got[i])
		}
	}
}

func TestErrorSaysTheLast(t *testing.T) {
	long := strings.Repeat("x", 1000)
	for _, c := range []struct {
		name string
		err  Error
		want string
	}{
		{"nothing", Error{Err: errors.New("exit status 1")}, "ffmpeg: exit status 1"},
		{"one line", Error{Err: ErrComplained, Stderr: "truncated\n"}, "ffmpeg: it complained: truncated"},
		{"many", Error{Err: ErrComplained, Stderr: "a\nb\nc\nd\ne\nf\ng\nh\n", ByHand: "ffmpeg -i x"}, "ffmpeg: it complained:\n  c\n  d\n  e\n  f\n  g\n  h"},
		{"long", Error{Err: ErrComplained, Stderr: long}, "ffmpeg: it complained: " + long[:mostSaidLine] + "…"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
