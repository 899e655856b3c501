package exchange

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// reader reads the rows of a sheet as plays of a game.
type reader struct {
	sources
	game       *tags.Game // the tag file as it is; one with nothing in it where it is new
	understood *Understood
	faults     tags.Faults         // of the sheet as a whole or of the mapping: nothing can be taken
	refused    tags.Faults         // of cells and rows, without which the rest is taken
	passers    []passer            // whom the sheet brings into a tag file that has nobody
	named      map[string][]passer // whom it names, by the key of the column
	unknown    map[value]*again    // what could not be read, by key and text, or by column
	clocks     map[tags.Pos]clockRead
	dates      map[tags.Pos]string // downs and distances, of dates that a spreadsheet made of them
	signed     bool                // yard lines in the offense's own half are written -25
}

// again is where a fault stands that other rows have too.
type again struct{ at, rows int }

// entry is what a sheet says of one play.
type entry struct {
	number int
	pos    tags.Pos
	values map[string]value            // by key
	extra  []value                     // in the order of their columns
	angles []string                    // in the order of their columns or rows
	film   map[string]map[string]value // by angle, empty for none named; then by key
	reps   []*repEntry
}

// value is one thing a sheet says, as a tag file would write it.
type value struct {
	key  string
	text string
	at   *tags.Instant // of in, out and snap
	pos  tags.Pos
}

// read finds what the sheet says of each play, in the order of its rows. Cells and rows that
// cannot be read are in r.refused.
func (r *reader) read(ctx context.Context) []*entry {
	names := r.angles()
	l, faults := r.sheet.lay(r.mapping, names, r.vocabulary)
	r.faults = append(r.faults, faults...)
	if faults.Err() == nil {
		r.oneKey(l)
	}
	if l.byRow && !r.inOrder() {
		addHint(&r.faults, r.sheet.at(l.heading, 0), "give the sheet a column of them", "no column holds play numbers, and the tag file has numbers of its own")
	}
	if r.faults.Err() != nil {
		return nil
	}
	r.sheet.fillMerged(l.heading)
	for i, c := range r.sheet.Rows[l.heading] {
		if !strings.HasPrefix(c.Text, extraPrefix) {
			r.sheet.Rows[l.heading][i].Text = oneLine(c.Text)
		}
	}
	r.understand(l)
	r.clocks = r.readClocks(l)
	r.signed = r.signs(l)
	r.dates = r.readDates(l)
	r.ofOneRep(l)
	if r.bringsPeople() {
		r.readNames(l)
	}
	var entries []*entry
	byNumber := map[int]*entry{}
	for row := l.heading + 1; row < len(r.sheet.Rows) && ctx.Err() == nil; row++ {
		cells := r.sheet.Rows[row]
		r.progress.tell(readingRows, row-l.heading, len(r.sheet.Rows)-1-l.heading)
		if blank(cells) {
			continue
		}
		if isTotals(cells, !l.byRow) {
			r.refused.Add(r.sheet.at(row, 0), "the row looks like one of totals, and is left out")
			continue
		}
		if r.headingAgain(l, cells) {
			r.refused.Warn(r.sheet.at(row, 0), "the row has the headings again, and is left out")
			continue
		}
		r.understood.Rows++
		for column := len(l.columns); column < len(cells); column++ {
			if cells[column].Text != "" {
				r.again(value{text: strconv.Itoa(column)}, r.sheet.at(row, column), "the cell %q stands under no heading", short(cells[column].Text))
			}
		}
		e, angle := r.row(l, row)
		if e == nil {
			continue
		}
		first, ok := byNumber[e.number]
		if !ok {
			byNumber[e.number] = e
			entries = append(entries, e)
			continue
		}
		if len(first.reps) > 0 && len(e.reps) > 0 || l.has(keyRusher) && angle == "" { // one of them may not have been read
			r.joinReps(first, e)
			continue
		}
		if _, same := first.film[angle]; same || angle == "" {
			addHint(&r.refused, e.pos, fmt.Sprintf("it stands first in row %d", first.pos.Line), "play %d stands twice, and this row is left out", e.number)
			continue
		}
		r.join(first, e)
	}
	for _, a := range r.unknown {
		r.refused[a.at].What += andMore(a.rows + 1)
	}
	r.understood.finish(entries)
	r.warn(l, entries)
	return entries
}

// headingAgain reports whether a row repeats the headings, as sheets do at the top of a page.
func (r *reader) headingAgain(l layout, cells []Cell) bool {
	headings := r.sheet.Rows[l.heading]
	said := 0
	for i, c := range cells {
		if c.Text == "" {
			continue
		}
		if i >= len(headings) || flatten(c.Text) != flatten(headings[i].Text) {
			return false
		}
		said++
	}
	return said > 1
}

// signs reports whether a yard line of the sheet has a minus sign.
func (r *reader) signs(l layout) bool {
	i := slices.IndexFunc(l.columns, func(c column) bool { return c.key == "yard-line" })
	return i >= 0 && slices.ContainsFunc(r.sheet.below(l.heading, i), func(c string) bool { return strings.HasPrefix(c, "-") })
}

// inOrder reports whether the tag file has no plays, or numbers them from 1 in order, so that
// the rows of a sheet without numbers can be they.
func (r *reader) inOrder() bool {
	for i, p := range r.game.Plays {
		if p.Number != i+1 {
			return false
		}
	}
	return true
}

// oneKey makes extras whose headings differ in the case of their letters one key: as the tag
// file writes it, else as the first column does.
func (r *reader) oneKey(l layout) {
	written, alike := map[string]bool{}, map[string]string{}
	for _, p := range r.game.Plays {
		for key := range p.Extra {
			written[key] = true
			lower := strings.ToLower(key)
			if other, ok := alike[lower]; !ok || key < other {
				alike[lower] = key
			}
		}
	}
	first := map[string]int{}
	for i := range l.columns {
		c := &l.columns[i]
		if c.key != keyExtra {
			continue
		}
		lower := strings.ToLower(c.name)
		if alike[lower] == "" {
			alike[lower] = c.name
		}
		if !written[c.name] {
			c.name = alike[lower]
		}
		headings := r.sheet.Rows[l.heading]
		if before, twice := first[c.name]; twice {
			addHint(&r.faults, r.sheet.at(l.heading, i), "leave one out, in a column mapping",
				"column %q is %s, and so is %q", headings[i].Text, c.name, headings[before].Text)
		}
		first[c.name] = i
	}
}

// angles is every angle a heading may name: those of the game, or in a new one those of
// which a column gives the file.
func (r *reader) angles() []string {
	var names []string
	for _, f := range r.game.Films {
		names = append(names, f.Angle)
	}
	if r.game.ID != "" {
		return names
	}
	for _, cells := range r.sheet.Rows[:min(headingRows, len(r.sheet.Rows))] {
		for _, c := range cells {
			if name, ok := strings.CutSuffix(strings.ToLower(c.Text), " file"); ok && tags.ID.MatchString(name) {
				names = append(names, name)
			}
		}
	}
	return names
}

// row is what one row says, and the angle it names; nil where it names no play.
func (r *reader) row(l layout, row int) (e *entry, angle string) {
	e = &entry{pos: r.sheet.at(row, 0), values: map[string]value{}, film: map[string]map[string]value{}}
	if l.byRow {
		e.values["play"] = value{key: "play", text: strconv.Itoa(r.understood.Rows), pos: e.pos}
	}
	var film []column
	var onFilm []value
	var reps repsOfRow
	before := len(r.refused)
	for i, cell := range r.sheet.Rows[row][:min(len(l.columns), len(r.sheet.Rows[row]))] {
		if cell.Text == "" {
			continue
		}
		c, pos, said := l.columns[i], r.sheet.at(row, i), &r.understood.Columns[i]
		if c.key == "play" {
			e.pos = pos
		}
		cell, ok := r.meant(c, cell, said, pos, &reps)
		if !ok {
			continue
		}
		switch {
		case c.key == keyExtra:
			one := r.vocabulary.OneText(c.name, cell.Text)
			if one != cell.Text {
				said.read(cell.Text, one)
			}
			e.extra = append(e.extra, value{key: c.name, text: one, pos: pos})
		case c.key == keyGame:
			if r.game.ID != "" && cell.Text != r.game.ID {
				said.Refused++
				r.refused.Add(pos, "the row is of game %q, the tag file of %q", short(cell.Text), r.game.ID)
				return nil, ""
			}
		case c.key == keyAngle:
			if angle = r.angle(cell.Text, pos); angle == "" {
				said.Refused++
			}
		case slices.Contains(onAngle, c.key):
			if v, ok := r.onFilm(c, cell, said.Heading, pos); ok {
				film, onFilm = append(film, c), append(onFilm, v)
			} else {
				said.Refused++
			}
		case c.key == keyDownDistance:
			r.downDistance(e, cell, said, pos)
		case isOfRep(c):
			reps.read(r, c, cell, said, pos)
		default:
			f, _ := fieldOf(c.key)
			r.value(e, f, cell, said, pos)
		}
	}
	r.goal(e)
	e.reps = reps.done(r, l.columns)
	play, ok := e.values["play"]
	if !ok {
		if !slices.ContainsFunc(r.refused[before:], func(f tags.Fault) bool { return f.Pos == e.pos }) {
			r.refused.Add(e.pos, "the row gives no play number, and is left out")
		}
		return nil, ""
	}
	e.number, _ = strconv.Atoi(play.text)
	if angle != "" {
		e.on(angle)
	}
	for i, c := range film {
		on := e.on(cmp.Or(c.angle, angle))
		if _, twice := on[c.key]; twice {
			r.refused.Add(onFilm[i].pos, "the row gives %s of angle %s twice", c.key, cmp.Or(c.angle, angle))
			continue
		}
		on[c.key] = onFilm[i]
	}
	r.checkFilm(e)
	return e, angle
}

// meant is a cell as the staff's mapping says it. It is false where the cell says nothing, and where it
// cannot be read, which is counted and told.
func (r *reader) meant(c column, cell Cell, said *ColumnRead, pos tags.Pos, reps *repsOfRow) (Cell, bool) {
	said.counted(cell.Text)
	if c.key == keySkip {
		if said.Heading == "" {
			said.Refused++
			r.again(value{text: strconv.Itoa(pos.Column)}, pos, "the cell %q stands under no heading", short(cell.Text))
		}
		return cell, false
	}
	if wrong := cell.wrong(); wrong != "" {
		said.Refused++
		r.refused.Add(pos, "%s", wrong)
		reps.passOver(c, pos)
		return cell, false
	}
	if r.mapping != nil && c.key != keyExtra {
		if meant, ok := r.mapping.words[c.key][sameWord(cell.Text)]; ok {
			said.read(cell.Text, cmp.Or(meant, "nothing"))
			cell = Cell{Text: meant}
		}
	}
	nobody := (c.key == "qb" || c.key == "blocker") && isNobody(cell.Text)
	if cell.Text != "" && (nobody || c.says() && isDash(cell.Text)) {
		said.read(cell.Text, "nothing")
		cell = Cell{}
	}
	if cell.Text == "" {
		reps.passOver(c, pos)
	}
	return cell, cell.Text != ""
}

// value reads a cell as a field of the play.
func (r *reader) value(e *entry, f field, cell Cell, said *ColumnRead, pos tags.Pos) {
	var text, want string
	if at, ok := r.clocks[pos]; ok {
		text, want = at.text, at.want
	} else {
		text, want = f.read(f, r, cell)
	}
	if want != "" {
		said.Refused++
		if f.WordList() != "" {
			said.unread(short(cell.Text))
		}
		r.note(f, said.Heading, cell, pos, want)
		return
	}
	if f.Kind == tags.KindText && dateForm.MatchString(text) {
		r.refused.Warn(pos, "%s %q looks like a date that a spreadsheet made of what was typed", said.Heading, short(text))
	}
	if one := r.vocabulary.OneText(f.Name, text); f.Kind == tags.KindText && one != text {
		said.read(text, one)
		text = one
	}
	_, doubtful := r.clocks[pos]
	if f.Kind == tags.KindWord || f.Kind == tags.KindWhole || doubtful {
		shown := plain(cell)
		if cell.Date {
			shown = cell.Text
		}
		if flatten(shown) != flatten(text) || doubtful {
			said.read(shown, text)
		}
	}
	if before, there := e.values[f.FileKey()]; there && before.text != text {
		said.Refused++
		r.refused.Add(pos, "%s says %s %s, and another column of the row says %s: neither is taken", said.Heading, f.FileKey(), text, before.text)
		delete(e.values, f.FileKey())
		return
	}
	e.values[f.FileKey()] = value{key: f.FileKey(), text: text, pos: pos}
}

// downDistance reads "3&8" as a down and a distance.
func (r *reader) downDistance(e *entry, cell Cell, said *ColumnRead, pos tags.Pos) {
	if text, ok := r.dates[pos]; ok {
		said.read(cell.Text, text)
		cell = Cell{Text: text}
	}
	m := downDistance.FindStringSubmatch(unletter(cell.Text))
	if cell.Date || dateForm.MatchString(cell.Text) {
		said.Refused++
		r.again(value{key: keyDownDistance}, pos, "%s %q: %sa down and a distance, such as 3&8, as text", said.Heading, short(cell.Text), aDate)
		return
	}
	if m == nil {
		said.Refused++
		r.refused.Add(pos, "unknown %s %q; want a down and a distance, such as 3&8", said.Heading, short(cell.Text))
		return
	}
	for i, key := range []string{"down", "distance"} {
		f, _ := fieldOf(key)
		r.value(e, f, Cell{Text: m[i+1]}, &ColumnRead{Heading: said.Heading}, pos)
	}
}

// goal gives a row whose distance is the goal the yards that its yard line says.
func (r *reader) goal(e *entry) {
	d, ok := e.values["distance"]
	if !ok || d.text != goal {
		return
	}
	p := &tags.Play{Game: &tags.Game{}, YardLine: e.values["yard-line"].text}
	if r.signed {
		p.Game.Plays = []*tags.Play{{YardLine: "-1"}}
	}
	if yards, known := p.ToGoal(); known && yards <= 10 {
		d.text = strconv.Itoa(yards)
		e.values["distance"] = d
		return
	}
	delete(e.values, "distance")
	r.refused.Add(d.pos, "the distance is the goal, and the row has no yard line within 10 yards of it, such as opp 4: want yards to go")
}

// note adds the fault that a cell cannot be read, once for all rows that have the same,
// with the lines of a column mapping that would say what it means.
func (r *reader) note(f field, heading string, cell Cell, pos tags.Pos, want string) {
	list, key := f.WordList() != "", f.FileKey()
	if key != "play" && (list || f.Kind == tags.KindWhole) && !cell.Date && short(cell.Text) == cell.Text {
		says, meant := "leave it out", ""
		if list {
			says, meant = "say which", "…" // which is not for us to say, be it as an example
		}
		word := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{tags.Scalar(cell.Text), tags.Scalar(meant)}}
		of := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{tags.Scalar(key), word}}
		if line, err := yaml.Marshal(of); err == nil {
			want += fmt.Sprintf("; a file for --columns can %s: values: %s", says, strings.TrimSpace(string(line)))
		}
	}
	if key == "play" {
		addHint(&r.refused, pos, want, "unknown %s %q, and the row is left out", heading, short(cell.Text))
	} else if r.again(value{key: key, text: sameWord(cell.Text)}, pos, "unknown %s %q", heading, short(cell.Text)) {
		r.refused[len(r.refused)-1].Hint = want
	}
}

// again counts a cell that is refused, and reports whether it is the first that is wrong in the
// same way, which what tells. Only the first becomes a fault, with the number of the others.
func (r *reader) again(what value, pos tags.Pos, format string, args ...any) bool {
	if first, ok := r.unknown[what]; ok {
		first.rows++
		return false
	}
	if r.unknown == nil {
		r.unknown = map[value]*again{}
	}
	r.unknown[what] = &again{at: len(r.refused)}
	r.refused.Add(pos, format, args...)
	return true
}

// join adds to first what another row says of the same play on another angle.
func (r *reader) join(first, e *entry) {
	for _, f := range fields {
		if v, ok := e.values[f.FileKey()]; ok {
			if old, there := first.values[f.FileKey()]; there && old.text != v.text {
				r.refused.Add(v.pos, "play %d has %s %q here and %q in row %d", e.number, f.FileKey(), v.text, old.text, old.pos.Line)
				continue
			}
			first.values[f.FileKey()] = v
		}
	}
	for _, v := range e.extra {
		i := slices.IndexFunc(first.extra, func(o value) bool { return o.key == v.key })
		switch {
		case i < 0:
			first.extra = append(first.extra, v)
		case first.extra[i].text != v.text:
			r.refused.Add(v.pos, "play %d has %s %q here and %q in row %d", e.number, v.key, short(v.text), short(first.extra[i].text), first.extra[i].pos.Line)
		}
	}
	for _, angle := range e.angles {
		if _, there := first.film[angle]; there {
			r.refused.Add(e.pos, "play %d has angle %q in row %d too", e.number, angle, first.pos.Line)
			continue
		}
		first.film[angle] = e.film[angle]
		first.angles = append(first.angles, angle)
	}
}
