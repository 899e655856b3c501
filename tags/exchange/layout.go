package exchange

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"trenchcut/tags"
)

// layout is what each column of one sheet holds, and where its heading stands.
type layout struct {
	heading int // row, from 0
	columns []column
	how     []How
	byRow   bool // no column holds play numbers: rows are numbered in order
}

// headingRows is how far down a heading is looked for; titles often stand above it.
const headingRows = 20

// maxHeading bounds a heading in bytes: YAML takes no key of more than 1024.
const maxHeading = 200

// lay finds the row of headings and what each means; angles are those that headings may
// name. mapping may be nil.
func (s *Sheet) lay(mapping *Columns, angles []string, v *tags.Vocabulary) (layout, tags.Faults) {
	var faults tags.Faults
	best, known := layout{}, 0
	for row := range min(headingRows, len(s.Rows)) {
		l := s.layRow(row, mapping, angles)
		if under := s.under(row); under != nil {
			// Headings may take two rows: what stands above a blank one reaches down to it.
			both, alone := under.layRow(row+1, mapping, angles), s.layRow(row+1, mapping, angles)
			if both.sure()+both.ofRushers() > max(l.sure()+l.ofRushers(), alone.sure()+alone.ofRushers()) {
				s.Rows, l = under.Rows, both
			}
		}
		if s.isData(l) {
			continue
		}
		s.guessByCells(&l, v)
		if l.has("play") && (l.surely("play") || l.known() >= 2) {
			return l, s.checkLayout(l, mapping)
		}
		if n := l.known(); n > known {
			best, known = l, n
		}
	}
	numbered := func(c Cell) bool { return hunches[0].heading.MatchString(flatten(c.Text)) }
	if known >= 3 && !slices.ContainsFunc(s.Rows[best.heading], numbered) {
		best.byRow = true
		return best, s.checkLayout(best, mapping)
	}
	addHint(&faults, tags.Pos{File: s.File}, "name the heading of its play numbers in a column mapping",
		"none of the first %d rows has the heading play", headingRows)
	return layout{}, faults
}

// layRow is the layout if row holds the headings, by the mapping and by the headings alone.
func (s *Sheet) layRow(row int, mapping *Columns, angles []string) layout {
	mapped := map[column]bool{}
	if mapping != nil {
		for _, t := range mapping.targets {
			mapped[t.column] = true
		}
	}
	cells := s.Rows[row]
	l := layout{heading: row, columns: make([]column, len(cells)), how: make([]How, len(cells))}
	ofReps := slices.ContainsFunc(cells, func(c Cell) bool {
		if mapping != nil {
			if t, ok := mapping.targets[flatten(c.Text)]; ok {
				return t.column.key == keyRusher
			}
		}
		return isRusherHeading(c.Text)
	})
	for i, cell := range cells {
		if cell.Text == "" {
			l.columns[i], l.how[i] = column{key: keySkip}, LeftOut
			continue
		}
		if mapping != nil {
			if t, ok := mapping.targets[flatten(cell.Text)]; ok {
				l.columns[i], l.how[i] = t.column, Told
				continue
			}
		}
		c := byHeading(cell.Text, angles, ofReps)
		if mapped[c] { // the mapping says that another column is that
			c = column{key: keyExtra, name: cell.Text}
		}
		l.columns[i], l.how[i] = c, Sure
		switch c.key {
		case keyExtra:
			l.how[i] = Kept
		case keySkip:
			l.how[i] = LeftOut
		}
	}
	l.nameApart()
	return l
}

// nameApart numbers extras of one heading, as in Notes and Notes 2: no mapping could tell them apart.
func (l layout) nameApart() {
	names := map[string]int{}
	for i, c := range l.columns {
		if c.key != keyExtra {
			continue
		}
		if names[c.name]++; names[c.name] > 1 {
			l.columns[i].name = fmt.Sprintf("%s %d", c.name, names[c.name])
		}
	}
}

// under is s with the blank cells of the row below a row filled from it; nil where that has none.
func (s *Sheet) under(row int) *Sheet {
	if row+1 >= len(s.Rows) {
		return nil
	}
	above, below := s.Rows[row], slices.Clone(s.Rows[row+1])
	filled := false
	rusher := "" // the number that stands above the columns of a rusher's rep, and above the first alone
	for i := range below {
		if i < len(above) && above[i].Text != "" {
			rusher = strings.Fields(above[i].Text)[0] // his name may stand behind it
		}
		c, ok := repColumn(rusher+" "+below[i].Text, false)
		if ok && c.rusher != "" && c.key != keyRep && below[i].Text != "" {
			below[i].Text, filled = rusher+" "+below[i].Text, true
		}
	}
	for i, c := range above {
		if i >= len(below) {
			below = append(below, Cell{})
		}
		if below[i].Text == "" && c.Text != "" {
			below[i], filled = c, true
		}
	}
	if !filled {
		return nil
	}
	two := &Sheet{Rows: slices.Clone(s.Rows)}
	two.Rows[row+1] = below
	return two
}

// isData reports whether a row that might hold the headings looks like a play: it has more cells
// with digits, but for the numbers of rushers, than headings that are known.
func (s *Sheet) isData(l layout) bool {
	digits := 0
	for i, c := range s.Rows[l.heading] {
		if l.columns[i].rusher == "" && l.how[i] != Told && strings.ContainsAny(c.Text, "0123456789") {
			digits++
		}
	}
	return digits > max(1, l.sure())
}

// headings is how many headings of a play sheet some row at the top of s has.
func (s *Sheet) headings() int {
	most := 0
	for row := range min(headingRows, len(s.Rows)) {
		most = max(most, s.layRow(row, nil, nil).sure())
	}
	return most
}

// sure is how many columns are something of a play by their headings.
func (l layout) sure() int {
	n := 0
	for i, c := range l.columns {
		if (l.how[i] == Sure || l.how[i] == Told) && c.rusher == "" {
			n++
		}
	}
	return n
}

// ofRushers is how many columns are something of the rep of a rusher that the heading names.
func (l layout) ofRushers() int {
	n := 0
	for _, c := range l.columns {
		if c.rusher != "" && c.key != keyRep {
			n++
		}
	}
	return n
}

// has reports whether some column holds a key.
func (l layout) has(key string) bool {
	return slices.ContainsFunc(l.columns, func(c column) bool { return c.key == key })
}

// surely reports whether a column holds a key by its heading or by the mapping.
func (l layout) surely(key string) bool {
	i := slices.IndexFunc(l.columns, func(c column) bool { return c.key == key })
	return i >= 0 && l.how[i] != Guessed
}

// known is how many columns are something of a play.
func (l layout) known() int {
	n := 0
	for i, c := range l.columns {
		if l.how[i] != Kept && c.key != keySkip && c.rusher == "" {
			n++
		}
	}
	return n
}

func (s *Sheet) checkLayout(l layout, mapping *Columns) tags.Faults {
	var faults tags.Faults
	first := map[column]int{}
	for i, c := range l.columns {
		if c.key == keySkip {
			continue
		}
		if wrong := s.Rows[l.heading][i].wrong(); wrong != "" {
			faults.Add(s.at(l.heading, i), "%s", wrong)
		}
		if len(c.name) > maxHeading {
			faults.Add(s.at(l.heading, i), "the heading is longer than %d characters", maxHeading)
		}
		if before, twice := first[c]; twice {
			hint := "say in a column mapping which it is"
			if flatten(s.Rows[l.heading][i].Text) == flatten(s.Rows[l.heading][before].Text) {
				hint = "give one of them another heading in the sheet"
			}
			addHint(&faults, s.at(l.heading, i), hint,
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

// sameWord makes words of cells alike that people write alike. Signs beside digits count: 8+
// is not 8.
func sameWord(text string) string {
	if strings.ContainsAny(text, "0123456789") {
		return strings.ToLower(strings.Join(strings.Fields(text), ""))
	}
	return flatten(text)
}

// extraPrefix stands before the heading of an extra that would be taken for something else.
const extraPrefix = "extra:"

// unitForm is a heading with its unit, such as Dist (yds).
var unitForm = regexp.MustCompile(`(?i)^(.+?) *[(\[](?:y|yds?|yards?|s|secs?|seconds?|m?m:ss|min(?::sec)?|no|nr|#|[a-z](?:/[a-z])+|[0-9]-[0-9])\.?[)\]]$`)

// byHeading is what a heading means by the usual words of the trade (common practice).
// Whatever is not known is an extra. Only a sheet of reps has headings of reps, but for a
// rusher and for those that name one.
func byHeading(heading string, angles []string, ofReps bool) column {
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
		if strings.Contains(heading, "#") { // snaps are counted, not timed
			return column{key: "play"}
		}
		return column{key: "snap"}
	case "file", "clip":
		return column{key: "file"}
	case "dd", "dnd", "downdist", "downdistance", "downanddistance", "dndist", "dandd":
		return column{key: keyDownDistance}
	}
	if i := strings.LastIndex(heading, " "); i > 0 {
		angle, key := strings.ToLower(strings.TrimSpace(heading[:i])), strings.ToLower(heading[i+1:])
		if slices.Contains(angles, angle) && slices.Contains(onAngle, key) {
			return column{key: key, angle: angle}
		}
	}
	if c, ok := repColumn(heading, ofReps); ok {
		return c
	}
	if m := unitForm.FindStringSubmatch(heading); m != nil {
		if c := byHeading(m[1], angles, ofReps); c.key != keyExtra {
			return c
		}
	}
	return column{key: keyExtra, name: oneLine(heading)}
}

// oneLine is a heading without the line breaks that make it narrow in a sheet.
func oneLine(heading string) string { return strings.Join(strings.Fields(heading), " ") }
