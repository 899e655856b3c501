package main

import (
	"bytes"
	"io"
	"os"
	"unicode/utf8"

	"golang.org/x/term"
)

// terminal passes text on to a terminal without what would steer it: control characters but
// the end of a line and the tab, what turns the direction of writing, and bytes that are no
// text. Whatever a command prints goes through it; into a file or a pipe goes what it is.
type terminal struct {
	out  *os.File
	to   io.Writer // out, but in tests
	rest []byte    // a letter or an end of a line of which more is to come
}

// onScreen is a file to write to, guarded where it is a terminal.
func onScreen(f *os.File) io.Writer {
	if !term.IsTerminal(int(f.Fd())) {
		return f
	}
	return &terminal{out: f, to: f}
}

// Write implements io.Writer.
func (t *terminal) Write(p []byte) (int, error) {
	text := append(t.rest, p...)
	whole := len(text)
	for n := 1; n < utf8.UTFMax && n <= len(text); n++ { // a letter may go on in the next call
		if i := len(text) - n; utf8.RuneStart(text[i]) {
			if !utf8.FullRune(text[i:]) {
				whole = i
			}
			break
		}
	}
	if whole > 0 && text[whole-1] == '\r' { // as may the end of a line
		whole--
	}
	t.rest = bytes.Clone(text[whole:])
	said := bytes.ReplaceAll(text[:whole], []byte("\r\n"), []byte("\n"))
	if _, err := io.WriteString(t.to, printable(string(said))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// widthOf is how many characters the terminal that w is has in a line; 0 where it is none.
func widthOf(w io.Writer) int {
	f, _ := w.(*os.File)
	if s, ok := w.(*screen); ok {
		return widthOf(s.out)
	}
	if t, ok := w.(*terminal); ok {
		f = t.out
	}
	if f == nil {
		return 0
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
}
