package exchange

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
)

// playSheet is plays as a sheet, a row each: the columns are those of which some play has
// something to say. To bring it back into the same tag files changes nothing.
func playSheet(plays []*tags.Play) Table {
	var columns []sheetColumn[*tags.Play]
	add := func(heading string, of func(*tags.Play) any) {
		columns = append(columns, sheetColumn[*tags.Play]{heading, of, heading == numberHeading})
	}
	games := map[*tags.Game]bool{}
	extra := map[string]bool{}
	var angles []string
	for _, p := range plays {
		games[p.Game] = true
		for key, text := range p.Extra {
			extra[key] = extra[key] || text != ""
		}
		for _, w := range p.Written() {
			if !slices.Contains(angles, w.Angle) {
				angles = append(angles, w.Angle)
			}
		}
	}
	if len(games) > 1 {
		add(keyGame, func(p *tags.Play) any { return p.Game.ID })
	}
	for _, f := range fields {
		add(f.heading(), f.cell)
	}
	for _, angle := range angles {
		for _, key := range onAngle {
			add(column{key: key, angle: angle}.String(), func(p *tags.Play) any { return written(p, angle, key) })
		}
	}
	for _, key := range slices.Sorted(maps.Keys(extra)) {
		if extra[key] {
			add(extraHeading(key, angles), func(p *tags.Play) any { return textOf(p.Extra[key]) })
		}
	}
	return tableOf("", plays, columns)
}

// sheetColumn is a column of a sheet with a row for each T.
type sheetColumn[T any] struct {
	heading string
	of      func(T) any // nil is an empty cell
	always  bool        // it stays where all of its cells are empty
}

// tableOf returns the sheet of all, without the columns that are empty and need not stay.
func tableOf[T any](name string, all []T, columns []sheetColumn[T]) Table {
	columns = slices.DeleteFunc(columns, func(c sheetColumn[T]) bool {
		return !c.always && !slices.ContainsFunc(all, func(x T) bool { return c.of(x) != nil })
	})
	t := Table{Name: name}
	for _, c := range columns {
		t.Heading = append(t.Heading, c.heading)
	}
	for _, x := range all {
		row := make([]any, len(columns))
		for i, c := range columns {
			row[i] = c.of(x)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// cell is a number where a spreadsheet should count with it.
func (f field) cell(p *tags.Play) any {
	text := f.have(p)
	if text != "" && f.Kind == tags.KindWhole {
		n := 0
		for _, digit := range text {
			n = 10*n + int(digit-'0')
		}
		return n
	}
	return textOf(text)
}

func textOf(text string) any {
	if text == "" {
		return nil
	}
	return text
}

// extraHeading is the heading of an extra, marked where it would be read as anything else.
func extraHeading(key string, angles []string) string {
	if c := byHeading(key, angles, false); key == "" || c != (column{key: keyExtra, name: key}) {
		return extraPrefix + " " + key
	}
	return key
}

// written is what p says of itself on an angle; files as the tag file would name them.
func written(p *tags.Play, angle, key string) any {
	for _, w := range p.Written() {
		if w.Angle != angle {
			continue
		}
		if key == "file" {
			return textOf(FilmName(p.Game.Pos.File, w.File))
		}
		if at := map[string]*tags.Instant{"in": w.In, "out": w.Out, "snap": w.Snap}[key]; at != nil {
			return at.String()
		}
	}
	return nil
}

// FilmName is how the tag file at file names a film: from its own folder where the film lies in
// it or below, else as it is; with slashes on every system.
func FilmName(file, film string) string {
	if film == "" {
		return ""
	}
	dir, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return filepath.ToSlash(film)
	}
	rel, err := filepath.Rel(dir, film)
	if err != nil || strings.HasPrefix(rel, "..") {
		return filepath.ToSlash(film)
	}
	return filepath.ToSlash(rel)
}
