package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"

	"trenchcut/tags"
)

// mostPlaces is how many further places of one fault are listed.
const mostPlaces = 12

// printFaults prints each fault with the line it stands in, then how many there are. What is
// wrong in the same way at many places is told once, at the first, with the other places
// below it. Of the files named bare no line is shown.
func printFaults(w io.Writer, faults tags.Faults, bare ...string) {
	width := widthOf(w)
	sources := map[string][]string{}
	for _, same := range alike(faults) {
		f := same[0]
		fmt.Fprint(w, wrapped(printable(f.Error()), width))
		lines, ok := sources[f.Pos.File]
		if !ok && !slices.Contains(bare, f.Pos.File) {
			lines = sourceLines(f.Pos.File)
			sources[f.Pos.File] = lines
		}
		if n := f.Pos.Line; n >= 1 && n <= len(lines) {
			fmt.Fprint(w, tags.Snippet(lines[n-1], f.Pos.Column))
		}
		if more := places(f.Pos.File, same[1:]); more != "" {
			fmt.Fprint(w, wrapped(printable("  also at "+more), width))
		}
	}
	fmt.Fprintln(w, countFaults(faults))
}

// alike is faults by what they say, in the order in which each is first said.
func alike(faults tags.Faults) []tags.Faults {
	type saying struct {
		what, hint string
		warning    bool
	}
	var groups []tags.Faults
	group := map[saying]int{}
	for _, f := range faults {
		said := saying{f.What, f.Hint, f.Warning}
		i, ok := group[said]
		if !ok {
			i = len(groups)
			group[said] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], f)
	}
	return groups
}

// places is where faults stand, in short: a file is named where it is another than that of
// the place before, and no more than mostPlaces are listed.
func places(file string, faults tags.Faults) string {
	var listed []string
	for i, f := range faults {
		if i == mostPlaces {
			return fmt.Sprintf("%s and %d more", strings.Join(listed, ", "), len(faults)-i)
		}
		place := f.Pos.String()
		if f.Pos.File == file && f.Pos.Line > 0 {
			place = strings.TrimPrefix(place, file+":")
		}
		file = f.Pos.File
		listed = append(listed, place)
	}
	return strings.Join(listed, ", ")
}

// countFaults is "3 faults in 2 files, 1 warning".
func countFaults(faults tags.Faults) string {
	files := map[string]bool{}
	for _, f := range faults {
		files[f.Pos.File] = true
	}
	grave := faults.Grave()
	said := fmt.Sprintf("%s in %s", tags.Count(grave, "fault"), tags.Count(len(files), "file"))
	if warnings := len(faults) - grave; warnings > 0 {
		said += ", " + tags.Count(warnings, "warning")
	}
	return said
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

// printable is [tags.Printable].
func printable(s string) string { return tags.Printable(s) }

// indented is printable text of which only the first line stands at the edge, so that no
// file's text can pass for a line of ours.
func indented(s string) string {
	return strings.ReplaceAll(strings.TrimRight(printable(s), "\n"), "\n", "\n  ")
}

// preformatted is how deep the lines are indented that are shown as they are, such as a line
// of a file with a caret below it.
const preformatted = 4

// wrapped is text as whole lines of at most width cells, broken at spaces; a width of 0 is no
// terminal's, and there each line stays whole, as other programs read it. What is left of a
// line stands below it, two deeper. A word that is wider is not broken, so that it can be
// copied.
func wrapped(text string, width int) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		indent := len(line) - len(strings.TrimLeft(line, " "))
		if width == 0 || indent >= preformatted || textWidth(line) <= width {
			out.WriteString(line + "\n")
			continue
		}
		at := 0
		for i, word := range strings.Split(line[indent:], " ") {
			cells := textWidth(word)
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

// plainly is what an error says, but of a file or folder that is not there, or may not be
// used, in plain words.
func plainly(err error) string {
	said := err.Error()
	var look func(error)
	look = func(err error) { // every error in err, where errors.As stops at the first
		if path, ok := err.(*fs.PathError); ok { //nolint:errorlint // it is one of them
			switch {
			case errors.Is(path, fs.ErrNotExist):
				said = strings.ReplaceAll(said, path.Error(), "there is no file or folder "+path.Path)
			case errors.Is(path, fs.ErrPermission):
				said = strings.ReplaceAll(said, path.Error(), "this account may not use "+path.Path)
			}
		}
		switch within := err.(type) { //nolint:errorlint // likewise
		case interface{ Unwrap() error }:
			if err := within.Unwrap(); err != nil {
				look(err)
			}
		case interface{ Unwrap() []error }:
			for _, err := range within.Unwrap() {
				look(err)
			}
		}
	}
	look(err)
	return said
}
