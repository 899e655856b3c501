package main

import (
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"unicode"

	"trenchcut/tags"
)

// printFaults prints each fault with the line it stands in, then how many there are.
func printFaults(w io.Writer, faults tags.Faults) {
	sources := map[string][]string{}
	for _, f := range faults {
		fmt.Fprintln(w, printable(f.Error()))
		lines, ok := sources[f.Pos.File]
		if !ok {
			lines = sourceLines(f.Pos.File)
			sources[f.Pos.File] = lines
		}
		if n := f.Pos.Line; n >= 1 && n <= len(lines) {
			fmt.Fprint(w, snippet(lines[n-1], f.Pos.Column))
		}
	}
	fmt.Fprintln(w, countFaults(faults))
}

// countFaults is "3 faults in 2 files, 1 warning".
func countFaults(faults tags.Faults) string {
	files := map[string]bool{}
	for _, f := range faults {
		files[f.Pos.File] = true
	}
	grave := faults.Grave()
	said := fmt.Sprintf("%s in %s", plural(grave, "fault"), plural(len(files), "file"))
	if warnings := len(faults) - grave; warnings > 0 {
		said += ", " + plural(warnings, "warning")
	}
	return said
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// lineBreak is what YAML counts as the end of a line.
var lineBreak = regexp.MustCompile("\r\n|[\n\r\u0085\u2028\u2029]")

// sourceLines is the lines of a file; none where it cannot be read, since the fault
// itself has been told and is worth more than its line.
func sourceLines(file string) []string {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	return lineBreak.Split(string(data), -1)
}

// snippetWidth is how much of a long source line is shown, in characters.
const snippetWidth = 72

// snippet is a source line, indented, with a caret under the column, which counts
// characters from 1.
func snippet(line string, column int) string {
	text := []rune(strings.TrimPrefix(line, "\ufeff"))
	at := min(max(column-1, 0), len(text))
	for at < len(text) && unicode.IsSpace(text[at]) {
		at++ // a place given by its line alone is where the line begins to say something
	}
	from := 0
	if len(text) > snippetWidth && at > snippetWidth/2 {
		from = at - snippetWidth/2
	}
	to := min(len(text), from+snippetWidth)
	var pad strings.Builder
	for _, r := range text[from:at] {
		switch {
		case r == '\t':
			pad.WriteRune('\t') // a tab is as wide above as below
		case unicode.Is(unicode.Mn, r):
			// A combining mark takes no room.
		default:
			pad.WriteRune(' ')
		}
	}
	return fmt.Sprintf("    %s\n    %s^\n", strings.TrimRight(printable(string(text[from:to])), " \t"), pad.String())
}

// printable keeps a file's control characters, and those that turn text about, from
// reaching the terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\t' && r != '\n' && (unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp)) {
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

// indented is printable text of which only the first line stands at the edge, so that no
// file's text can pass for a line of ours.
func indented(s string) string {
	return strings.ReplaceAll(strings.TrimRight(printable(s), "\n"), "\n", "\n  ")
}
