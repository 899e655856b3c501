package terminal

import (
	"io"
	"os"

	"trenchcut/tags"
)

// style is how a terminal sets text apart (ECMA-48, SGR). Nothing is told by it alone.
type style string

// The styles: of headings, of faults and warnings, and of what was won.
const (
	heading style = "1"
	fault   style = "1;31"
	warning style = "33"
	win     style = "32"
)

// wantsColour reports whether the environment lets text be coloured: NO_COLOR asks for none
// (no-color.org), and a dumb terminal shows none.
func wantsColour() bool { return os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" }

// styled writes text in a style where w is a terminal that shows it, else as it is.
func styled(w io.Writer, s style, text string) error {
	g, screen := guardOf(w)
	if g == nil || !g.colours || text == "" {
		_, err := io.WriteString(w, text)
		return err
	}
	set := []byte("\x1b[" + string(s) + "m" + tags.Printable(text) + "\x1b[0m")
	if screen != nil {
		_, err := screen.writeTo(screen.raw, set)
		return err
	}
	_, err := g.to.Write(set)
	return err
}

// coloured reports whether w is a terminal that shows styles.
func coloured(w io.Writer) bool {
	g, _ := guardOf(w)
	return g != nil && g.colours
}

// guardOf is the guard that w writes through, and the screen before it; nil where there is none.
func guardOf(w io.Writer) (*guard, *Screen) {
	s, _ := w.(*Screen)
	if s != nil {
		w = s.out
	}
	g, _ := w.(*guard)
	return g, s
}
