package exchange

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"trenchcut/tags"
)

// warn adds what is odd about what was read: fields that no row fills, and clocks, downs,
// yard lines and series that do not follow.
func (r *reader) warn(l layout, entries []*entry) {
	if missing := r.understood.Unfilled; len(missing) > 0 {
		r.refused.Warn(r.sheet.at(l.heading, 0), "no row gives %s", strings.Join(missing, ", "))
	}
	if r.sheet.Windows1252 {
		r.warnEncoding()
	}
	r.warnYardLines(l, entries)
	r.warnDates(l)
	r.warnNames(l)
	r.warnNumbers(l)
	r.warnOpponent(l, entries)
	game := &tags.Game{}
	for _, e := range entries {
		p := &tags.Play{Game: game, Pos: e.pos, Number: e.number}
		p.Clock, p.YardLine, p.Type, p.Unit = e.values["clock"].text, e.values["yard-line"].text, e.values["type"].text, e.values["unit"].text
		p.Down, p.Distance, p.Quarter, p.Series = e.whole("down"), e.whole("distance"), e.whole("quarter"), e.whole("series")
		game.Plays = append(game.Plays, p)
	}
	r.refused = append(r.refused, game.CheckOrder()...)
}

// warnEncoding shows a text that the guessed encoding gives letters to.
func (r *reader) warnEncoding() {
	for row, cells := range r.sheet.Rows {
		for column, c := range cells {
			if strings.ContainsFunc(c.Text, func(letter rune) bool { return letter > unicode.MaxASCII }) {
				r.refused.Warn(r.sheet.at(row, column), "the sheet is not UTF-8 text, and is read as Windows-1252, which makes this %q: where that is wrong, save it as CSV in UTF-8", short(c.Text))
				return
			}
		}
	}
}

// warnYardLines warns of yard lines from which nobody can tell how far it is to the goal. A bare
// 35 is none of them: a staff may write no more.
func (r *reader) warnYardLines(l layout, entries []*entry) {
	game := &tags.Game{Plays: []*tags.Play{{YardLine: "-1"}}} // so that a bare number has a side
	var first value
	rows := 0
	for _, e := range entries {
		v, ok := e.values["yard-line"]
		if !ok {
			continue
		}
		if _, known := (&tags.Play{Game: game, YardLine: v.text}).ToGoal(); known {
			continue
		}
		if rows++; rows == 1 {
			first = v
		}
	}
	if rows == 0 {
		return
	}
	r.refused.Warn(first.pos, "%s %q does not say how far it is to the goal%s: it is kept as text; want -35 or own 35, 35 or opp 35",
		r.sheet.Rows[l.heading][first.pos.Column-1].Text, short(first.text), andMore(rows))
}

// warnDates warns of columns that are not known and whose cells a spreadsheet may have made dates
// of: 4-3 becomes the third of April.
func (r *reader) warnDates(l layout) {
	for i, c := range l.columns {
		heading := r.sheet.Rows[l.heading][i].Text
		if c.key != keyExtra || strings.Contains(flatten(heading), "date") {
			continue
		}
		var first tags.Pos
		dates := 0
		for row := l.heading + 1; row < len(r.sheet.Rows); row++ {
			if cells := r.sheet.Rows[row]; i < len(cells) {
				if _, ok := dayOf(cells[i]); ok {
					if dates++; dates == 1 {
						first = r.sheet.at(row, i)
					}
				}
			}
		}
		if dates > 0 {
			r.refused.Warn(first, "%s %q looks like a date that a spreadsheet made of what was typed%s", heading, short(r.sheet.Rows[first.Line-1][i].Text), andMore(dates))
		}
	}
}

// warnNames warns of names beside the numbers above rushers' columns: a new tag file gets the
// numbers alone.
func (r *reader) warnNames(l layout) {
	if l.heading == 0 || !r.bringsPeople() {
		return
	}
	for i, c := range r.sheet.Rows[l.heading-1] {
		words := strings.Fields(c.Text)
		if i < len(l.columns) && len(words) > 1 && l.columns[i].rusher != "" && strings.TrimPrefix(words[0], "#") == l.columns[i].rusher {
			r.refused.Warn(r.sheet.at(l.heading-1, i), "of %q the number is read and the name is not: write it in the tag file, under people", short(c.Text))
		}
	}
}

// andMore says that a fault stands in further rows too.
func andMore(rows int) string {
	switch rows {
	case 0, 1:
		return ""
	case 2:
		return ", here and in one row more"
	default:
		return fmt.Sprintf(", here and in %d rows more", rows-1)
	}
}

// ofOneRep leaves out columns that are not known and say different things of the reps of one play:
// as an extra they would be the play's.
func (r *reader) ofOneRep(l layout) {
	play := slices.IndexFunc(l.columns, func(c column) bool { return c.key == "play" })
	if play < 0 || !l.has(keyRusher) {
		return
	}
	for i, c := range l.columns {
		if c.key != keyExtra || l.how[i] != Kept {
			continue
		}
		said := map[string]Cell{} // by play
		for row := l.heading + 1; row < len(r.sheet.Rows); row++ {
			cells := r.sheet.Rows[row]
			if max(i, play) >= len(cells) || cells[i].Text == "" || r.headingAgain(l, cells) {
				continue
			}
			before, there := said[cells[play].Text]
			if there && before.Text != cells[i].Text && cells[play].Text != "" {
				r.refuseColumn(l, i, r.sheet.at(row, i), before, cells[i])
				break
			}
			said[cells[play].Text] = cells[i]
		}
	}
}

func (r *reader) refuseColumn(l layout, i int, pos tags.Pos, before, now Cell) {
	heading := r.sheet.Rows[l.heading][i].Text
	addHint(&r.refused, pos, "say with --columns what of a rep it is, such as align or note, or leave it out with skip",
		"%s is not known, and says %q and %q of reps of one play: the column is left out", heading, short(before.Text), short(now.Text))
	l.columns[i], l.how[i] = column{key: keySkip}, LeftOut
	said := &r.understood.Columns[i]
	said.How, said.Field, said.Value = LeftOut, keySkip, keySkip
}

// whole is a whole number that a row gives; nil where it does not.
func (e *entry) whole(key string) *int {
	v, ok := e.values[key]
	if !ok {
		return nil
	}
	n := 0
	for _, digit := range v.text {
		n = 10*n + int(digit-'0')
	}
	return &n
}
