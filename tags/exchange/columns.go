package exchange

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Columns says what the headings of a sheet mean, and what is meant by words in its cells.
type Columns struct {
	file    string
	targets map[string]target            // by heading, flattened
	words   map[string]map[string]string // by key, then by flattened word
}

// target is what a heading was mapped to.
type target struct {
	pos     tags.Pos
	heading string // as the mapping writes it
	column  column
}

// column is what a column of a sheet holds.
type column struct {
	key   string // of a play; or angle, extra, skip
	angle string // for in, out, snap and file of one angle
	name  string // of an extra
}

// The keys a column may have that no play has.
const (
	keyAngle = "angle" // the row is the play on this angle
	keyGame  = "game"  // the id of the game, where a sheet holds several
	keyExtra = "extra"
	keySkip  = "skip"
)

// onAngle is the keys of a play on one angle.
var onAngle = []string{"file", "in", "out", "snap"}

func (c column) String() string {
	switch {
	case c.angle != "":
		return c.angle + " " + c.key
	case c.key == keyExtra:
		return c.name
	default:
		return c.key
	}
}

// ParseColumns reads a column mapping:
//
//	trenchcut: 1
//	columns: {"PLAY #": play, DN: down, "EZ start": endzone in, COACH: skip, TEMPO: extra}
//	values: {type: {Pass: dropback}, down: {"0": ""}}
//
// Its error is [tags.Faults].
func ParseColumns(file string, data []byte) (*Columns, error) {
	d := &tags.Decoder{File: file}
	c := &Columns{file: file, targets: map[string]target{}, words: map[string]map[string]string{}}
	d.Document(data, "the column mapping", tags.Keys{
		"columns": func(n *yaml.Node) {
			d.Each(n, "columns", func(key, value *yaml.Node) {
				flat := flatten(key.Value)
				if _, twice := c.targets[flat]; twice {
					d.Faults.Add(d.Pos(key), "heading %q stands twice", key.Value)
				}
				text := d.Text(value, key.Value)
				col, ok := parseColumn(text, key.Value)
				if !ok {
					addHint(&d.Faults, d.Pos(value), tags.DidYouMean(text, columnKeys()), "unknown column %q", text)
				}
				c.targets[flat] = target{d.Pos(key), key.Value, col}
			})
		},
		"values": func(n *yaml.Node) {
			d.Each(n, "values", func(key, value *yaml.Node) {
				if _, ok := fieldOf(key.Value); !ok {
					addHint(&d.Faults, d.Pos(key), tags.DidYouMean(key.Value, columnKeys()), "unknown column %q", key.Value)
				}
				words := map[string]string{}
				d.Each(value, key.Value, func(word, meant *yaml.Node) { words[flatten(word.Value)] = d.Text(meant, word.Value) })
				c.words[key.Value] = words
			})
		},
	})
	d.Faults.Sort()
	return c, d.Faults.Err()
}

// addHint adds a fault with a hint.
func addHint(faults *tags.Faults, pos tags.Pos, hint, format string, args ...any) {
	faults.Add(pos, format, args...)
	(*faults)[len(*faults)-1].Hint = hint
}

// columnKeys is everything a column can be mapped to.
func columnKeys() []string {
	keys := []string{keyAngle, keyGame, keyExtra, keySkip}
	for _, f := range fields {
		keys = append(keys, f.FileKey())
	}
	return append(keys, onAngle...)
}

// parseColumn reads a key, "endzone in" or "extra"; an extra keeps its heading.
func parseColumn(text, heading string) (column, bool) {
	if text == keyExtra {
		return column{key: keyExtra, name: heading}, true
	}
	if angle, key, ok := strings.Cut(text, " "); ok {
		return column{key: key, angle: angle}, slices.Contains(onAngle, key) && angle != ""
	}
	return column{key: text}, slices.Contains(columnKeys(), text)
}

// flatten makes headings and words alike that people write alike: "Yard Line",
// "YARD-LINE" and "yardline".
func flatten(text string) string {
	flat := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, text)
	if flat == "" {
		return text // "#" is a heading too
	}
	return flat
}

// guess is what a heading means by the usual words of the trade (common practice).
// Whatever is not known is an extra.
func guess(heading string, angles []string) column {
	if name, ok := strings.CutPrefix(heading, extraPrefix); ok {
		return column{key: keyExtra, name: strings.TrimSpace(name)}
	}
	flat := flatten(heading)
	for _, f := range fields {
		if f.means(flat) {
			return column{key: f.FileKey()}
		}
	}
	switch flat {
	case keyAngle, "camera":
		return column{key: keyAngle}
	case keyGame:
		return column{key: keyGame}
	case "in", "start":
		return column{key: "in"}
	case "out", "end":
		return column{key: "out"}
	case "snap":
		return column{key: "snap"}
	case "file", "clip":
		return column{key: "file"}
	}
	if i := strings.LastIndex(heading, " "); i > 0 {
		angle, key := strings.ToLower(strings.TrimSpace(heading[:i])), strings.ToLower(heading[i+1:])
		if slices.Contains(angles, angle) && slices.Contains(onAngle, key) {
			return column{key: key, angle: angle}
		}
	}
	return column{key: keyExtra, name: heading}
}

// extraPrefix stands before the heading of an extra that would be taken for something else.
const extraPrefix = "extra:"

// layout is what each column of one sheet holds, and where its heading stands.
type layout struct {
	heading int // row, from 0
	columns []column
}

// headingRows is how far down a heading is looked for; titles often stand above it.
const headingRows = 20

// lay finds the row of headings and what each means; angles are those that headings may
// name. mapping may be nil.
func (s *Sheet) lay(mapping *Columns, angles []string) (layout, tags.Faults) {
	var faults tags.Faults
	for row := range min(headingRows, len(s.Rows)) {
		l := layout{row, s.columns(row, mapping, angles)}
		if !slices.ContainsFunc(l.columns, func(c column) bool { return c.key == "play" }) {
			continue
		}
		return l, s.checkLayout(l, mapping)
	}
	addHint(&faults, tags.Pos{File: s.File}, "name the heading of its play numbers in a column mapping",
		"none of the first %d rows has the heading play", headingRows)
	return layout{}, faults
}

func (s *Sheet) columns(row int, mapping *Columns, angles []string) []column {
	mapped := map[column]bool{}
	if mapping != nil {
		for _, t := range mapping.targets {
			mapped[t.column] = true
		}
	}
	columns := make([]column, len(s.Rows[row]))
	for i, cell := range s.Rows[row] {
		if cell.Text == "" {
			columns[i] = column{key: keySkip}
			continue
		}
		if mapping != nil {
			if t, ok := mapping.targets[flatten(cell.Text)]; ok {
				columns[i] = t.column
				continue
			}
		}
		columns[i] = guess(cell.Text, angles)
		if mapped[columns[i]] { // the mapping says that another column is that
			columns[i] = column{key: keyExtra, name: cell.Text}
		}
	}
	return columns
}

// maxHeading bounds a heading in bytes: YAML takes no key of more than 1024.
const maxHeading = 200

func (s *Sheet) checkLayout(l layout, mapping *Columns) tags.Faults {
	var faults tags.Faults
	first := map[column]int{}
	for i, c := range l.columns {
		if c.key == keySkip {
			continue
		}
		if len(c.name) > maxHeading {
			faults.Add(s.at(l.heading, i), "the heading is longer than %d characters", maxHeading)
		}
		if before, twice := first[c]; twice {
			addHint(&faults, s.at(l.heading, i), "say in a column mapping which it is",
				"column %q is %s, and so is %q", s.Rows[l.heading][i].Text, c, s.Rows[l.heading][before].Text)
			continue
		}
		first[c] = i
	}
	if mapping == nil {
		return faults
	}
	headings := map[string]string{}
	for _, cell := range s.Rows[l.heading] {
		headings[flatten(cell.Text)] = cell.Text
	}
	for _, flat := range slices.Sorted(maps.Keys(mapping.targets)) {
		if t := mapping.targets[flat]; headings[flat] == "" {
			addHint(&faults, t.pos, tags.DidYouMean(t.heading, slices.Sorted(maps.Values(headings))),
				"the sheet has no heading %q", t.heading)
		}
	}
	return faults
}
