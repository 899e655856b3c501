package terminal

import (
	"io"
	"strings"

	"trenchcut/tags"
)

// Indented is printable text of which only the first line stands at the edge, so that no
// file's text can pass for a line of ours.
func Indented(s string) string {
	return strings.ReplaceAll(strings.TrimRight(tags.Printable(s), "\n"), "\n", "\n  ")
}

// preformatted is how deep the lines are indented that are shown as they are, such as a line
// of a file with a caret below it.
const preformatted = 4

// Lines prints each of lines, folded to the terminal that w is.
func Lines(w io.Writer, lines ...string) error {
	width := WidthOf(w)
	for _, line := range lines {
		if _, err := io.WriteString(w, Wrap(tags.Printable(line)+"\n", width)); err != nil {
			return err
		}
	}
	return nil
}

// Wrap breaks text at spaces into lines of at most width cells. What is left of a line follows
// below it, two deeper. A word that is wider stays whole, so that it can be copied. A width of 0 is
// no terminal's: every line stays whole, for other programs to read.
func Wrap(text string, width int) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		indent := len(line) - len(strings.TrimLeft(line, " "))
		if width == 0 || indent >= preformatted || Cells(line) <= width {
			out.WriteString(line + "\n")
			continue
		}
		at := 0
		for i, word := range strings.Split(line[indent:], " ") {
			cells := Cells(word)
			switch {
			case i == 0:
				out.WriteString(line[:indent])
				at = indent
			case at+1+cells > width:
				out.WriteString("\n" + line[:indent] + "  ")
				at = indent + 2
			default:
				out.WriteString(" ")
				at++
			}
			out.WriteString(word)
			at += cells
		}
		out.WriteString("\n")
	}
	return out.String()
}
