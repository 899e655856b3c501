package terminal

import (
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"

	"trenchcut/tags"
)

// mostPlaces is how many further places of one fault are listed.
const mostPlaces = 12

// Faults prints each fault with the line it stands in, then how many there are. What is
// wrong in the same way at many places is told once, at the first, with the other places
// below it. Of the files named bare no line is shown.
func Faults(w io.Writer, faults tags.Faults, bare ...string) {
	width := WidthOf(w)
	sources := map[string][]string{}
	for _, same := range alike(faults) {
		f := same[0]
		said, place := Wrap(tags.Printable(f.Error()), width), tags.Printable(f.Pos.String())
		if rest, ok := strings.CutPrefix(said, place); ok {
			said = rest
			how := fault
			if f.Warning {
				how = warning
			}
			_ = styled(w, how, place) // as with all that is printed here
		}
		fmt.Fprint(w, said)
		lines, ok := sources[f.Pos.File]
		if !ok && !slices.Contains(bare, f.Pos.File) {
			lines = sourceLines(f.Pos.File)
			sources[f.Pos.File] = lines
		}
		if n := f.Pos.Line; n >= 1 && n <= len(lines) {
			fmt.Fprint(w, tags.Snippet(lines[n-1], f.Pos.Column))
		}
		if more := places(f.Pos.File, same[1:]); more != "" {
			fmt.Fprint(w, Wrap(tags.Printable("  also at "+more), width))
		}
	}
	fmt.Fprintln(w, faults.Counted())
}

// FaultsAlone prints each fault without its source line, then how many there are, then the text
// then.
func FaultsAlone(w io.Writer, faults tags.Faults, then string) error {
	var lines []string
	for _, f := range faults {
		lines = append(lines, f.Error())
	}
	return Lines(w, append(lines, faults.Counted()+then)...)
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

// lineBreak is what YAML counts as the end of a line.
var lineBreak = regexp.MustCompile("\r\n|[\n\r\u0085\u2028\u2029]")

// sourceLines returns the lines of a file, or none where it cannot be read: its faults are printed
// all the same.
func sourceLines(file string) []string {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	return lineBreak.Split(string(data), -1)
}
