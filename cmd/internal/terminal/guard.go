// Package terminal prints what a person reads: tables, paragraphs, faults and progress, set to
// the width of the terminal, which no text that was read can steer.
package terminal

import (
	"bytes"
	"io"
	"os"
	"unicode/utf8"

	"golang.org/x/term"

	"trenchcut/tags"
)

// guard writes to a terminal what cannot control it: it drops control characters other than the end
// of a line and the tab, characters that change the direction of writing, and bytes that are not
// UTF-8. What goes to a file or a pipe is left as it is.
type guard struct {
	out  *os.File
	to   io.Writer // out, but in tests
	rest []byte    // a letter or an end of a line of which more is to come

	colours bool // it shows them, and may
}

// Guard is a file to write to, guarded where it is a terminal.
func Guard(f *os.File) io.Writer {
	if !term.IsTerminal(int(f.Fd())) {
		return f
	}
	return &guard{out: f, to: f, colours: wantsColour() && showsColour(f)}
}

// Guarded is a writer to a terminal that is no file of this process.
func Guarded(to io.Writer) io.Writer { return &guard{to: to} }

// Write implements io.Writer.
func (t *guard) Write(p []byte) (int, error) {
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
	if _, err := io.WriteString(t.to, tags.Printable(string(said))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// WidthOf returns the width of the terminal w in characters, or 0 where w is no terminal.
func WidthOf(w io.Writer) int {
	f, _ := w.(*os.File)
	if s, ok := w.(*Screen); ok {
		return WidthOf(s.out)
	}
	if t, ok := w.(*guard); ok {
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
