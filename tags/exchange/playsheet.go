package exchange

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
)

// PlaySheet is plays as a sheet, a row each: the columns are those of which some play has
// something to say. To bring it back into the same tag files changes nothing.
func PlaySheet(plays []*tags.Play) Table {
	var columns []sheetColumn
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
		columns = append(columns, sheetColumn{keyGame, func(p *tags.Play) any { return p.Game.ID }})
	}
	for _, f := range fields {
		columns = append(columns, sheetColumn{f.heading(), f.cell})
	}
	for _, angle := range angles {
		for _, key := range onAngle {
			columns = append(columns, sheetColumn{column{key: key, angle: angle}.String(), func(p *tags.Play) any { return written(p, angle, key) }})
		}
	}
	for _, key := range slices.Sorted(maps.Keys(extra)) {
		if extra[key] {
			columns = append(columns, sheetColumn{extraHeading(key, angles), func(p *tags.Play) any { return textOf(p.Extra[key]) }})
		}
	}
	columns = slices.DeleteFunc(columns, func(c sheetColumn) bool {
		return c.heading != numberHeading && !slices.ContainsFunc(plays, func(p *tags.Play) bool { return c.of(p) != nil })
	})
	var t Table
	for _, c := range columns {
		t.Heading = append(t.Heading, c.heading)
	}
	for _, p := range plays {
		row := make([]any, len(columns))
		for i, c := range columns {
			row[i] = c.of(p)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// sheetColumn is a heading and what stands under it; nil where there is nothing.
type sheetColumn struct {
	heading string
	of      func(*tags.Play) any
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
