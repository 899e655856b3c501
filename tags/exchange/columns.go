package exchange

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Columns says what the headings of a sheet mean, and what is meant by words in its cells.
type Columns struct {
	file    string
	targets map[string]target            // by heading, flattened
	words   map[string]map[string]string // by key, then by word, see sameWord
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
	name  string // of an extra; of a move its place among his moves, where each has a column
	// rusher is whose rep it is of, where a row has columns for several: "91" of 91 move.
	rusher string
}

// The keys a column may have that no play has.
const (
	keyAngle = "angle" // the row is the play on this angle
	keyGame  = "game"  // the id of the game, where a sheet holds several
	keyExtra = "extra"
	// keyDownDistance is a down and a distance in one cell, such as 3&8.
	keyDownDistance = "down-and-distance"
	keySkip         = "skip"
)

// onAngle is the keys of a play on one angle.
var onAngle = []string{"file", "in", "out", "snap"}

func (c column) String() string {
	switch {
	case c.angle != "":
		return c.angle + " " + c.key
	case c.rusher != "":
		return c.rusher + " " + column{key: c.key, name: c.name}.String()
	case c.key == "move" && c.name != "":
		return "move " + c.name
	case c.key == keyExtra:
		return c.name
	default:
		return c.key
	}
}

// parseColumns reads a column mapping:
//
//	trenchcut: 1
//	columns: {"PLAY #": play, DN: down, "EZ start": endzone in, COACH: skip, TEMPO: extra}
//	values: {type: {Pass: dropback}, down: {"0": ""}}
//
// Its error is [tags.Faults].
func parseColumns(file string, data []byte) (*Columns, error) {
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
				d.Each(value, key.Value, func(word, meant *yaml.Node) { words[sameWord(word.Value)] = d.Text(meant, word.Value) })
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
	keys := []string{keyAngle, keyGame, keyExtra, keySkip, keyDownDistance}
	for _, f := range fields {
		keys = append(keys, f.FileKey())
	}
	keys = append(keys, onAngle...)
	for _, f := range repFields {
		keys = append(keys, f.key)
	}
	return keys
}

// parseColumn reads a key, "endzone in", "91 move" or "extra"; an extra keeps its heading.
func parseColumn(text, heading string) (column, bool) {
	if text == keyExtra {
		return column{key: keyExtra, name: heading}, true
	}
	if slices.Contains([]string{keyRep, keyWords, keyExported}, text) {
		return column{key: text}, true
	}
	if m := moveOf.FindStringSubmatch(flatten(text)); m != nil && strings.HasPrefix(text, "move ") {
		return column{key: "move", name: m[1]}, true
	}
	if rusher, key, ok := strings.Cut(text, " "); ok && jerseyForm.MatchString(rusher) {
		if c, ok := parseColumn(key, heading); ok && c.key == "move" {
			return column{key: c.key, name: c.name, rusher: rusher}, true
		}
		_, known := repFieldOf(key)
		return column{key: key, rusher: rusher}, known || key == keyRep || key == keyWords
	}
	if angle, key, ok := strings.Cut(text, " "); ok {
		return column{key: key, angle: angle}, slices.Contains(onAngle, key) && angle != ""
	}
	return column{key: text}, slices.Contains(columnKeys(), text)
}
