package tags

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
)

// The widths of a snippet, in cells of a terminal: so much of a long line is shown, and so
// many cells stand for a tab.
const (
	snippetWidth = 72
	tabWidth     = 4
)

// Snippet is a line of a file, indented by four, and below it a caret under a column, which
// counts characters from 1. A long line is cut on both sides of the column. A column in the
// indent of a line means the first character behind that.
func Snippet(line string, column int) string {
	text := []rune(Printable(strings.TrimPrefix(line, "\ufeff")))
	at := min(max(column-1, 0), len(text))
	for at < len(text) && unicode.IsSpace(text[at]) {
		at++
	}
	from, before := at, 0 // the cells between from and at
	for from > 0 {
		cells := cellsOf(text[from-1 : at])
		if cells > snippetWidth/2 && cellsOf(text) > snippetWidth {
			break
		}
		from, before = from-1, cells
	}
	to := at
	for to < len(text) && cellsOf(text[from:to+1]) <= snippetWidth {
		to++
	}
	const indent = "    "
	return indent + strings.TrimRight(expand(text[from:to]), " ") + "\n" + indent + strings.Repeat(" ", before) + "^\n"
}

// expand is text with spaces for tabs, so that a caret below stands where it is meant to.
func expand(text []rune) string {
	return strings.ReplaceAll(string(text), "\t", strings.Repeat(" ", tabWidth))
}

// cellsOf is how many cells of a terminal text takes: two for a wide letter, none for a mark
// that stands on another (Unicode Standard Annexes 11 and 29).
func cellsOf(text []rune) int { return uniseg.StringWidth(expand(text)) }

// Printable is text without what would steer a terminal: control characters but the end of
// a line and the tab, and what turns the direction of writing.
func Printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r != '\t' && r != '\n' && (unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp)) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}
