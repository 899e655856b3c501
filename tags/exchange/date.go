package exchange

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// aDay is a date that a spreadsheet made of two numbers that somebody typed.
type aDay struct {
	pos           tags.Pos
	cell          Cell
	year          int // 0 where the sheet does not show it
	first, second int
	named         bool // the second is the day of a month, and which was typed first is open
}

var (
	isoDate   = regexp.MustCompile(`^(\d{4})-(\d{2})-(\d{2})$`)
	numbers   = regexp.MustCompile(`^(\d{1,2})[/.](\d{1,2})[/.](\d{2,4})$`)
	dayMonth  = regexp.MustCompile(`^(\d{1,2})-([A-Za-z]{3})[a-z]*(?:-(\d{2,4}))?$`)
	monthList = strings.Fields("jan feb mar apr may jun jul aug sep oct nov dec")
)

// dayOf reads a cell that is a date; false where it is none.
func dayOf(c Cell) (d aDay, ok bool) {
	number := func(text string) int {
		n, _ := strconv.Atoi(text) // digits, or empty
		return n
	}
	if m := isoDate.FindStringSubmatch(c.Text); m != nil && c.Date {
		return aDay{cell: c, year: number(m[1]), first: number(m[2]), second: number(m[3]), named: true}, true
	}
	if m := numbers.FindStringSubmatch(c.Text); m != nil {
		return aDay{cell: c, year: number(m[3]), first: number(m[1]), second: number(m[2])}, true
	}
	if m := dayMonth.FindStringSubmatch(c.Text); m != nil {
		if month := slices.Index(monthList, strings.ToLower(m[2])); month >= 0 {
			return aDay{cell: c, year: number(m[3]), first: month + 1, second: number(m[1]), named: true}, true
		}
	}
	return aDay{}, false
}

// readDates finds the downs and distances that a spreadsheet made dates of, 3-7 the seventh of
// March, where the column leaves no doubt: each of its dates has a month from 1 to 4, and its
// other cells are downs and distances. Some distance must be more than 4, since elsewhere 3-7
// becomes the third of July. A date of a year other than most is left out: 3-32 becomes March 1932.
func (r *reader) readDates(l layout) map[tags.Pos]string {
	column := slices.IndexFunc(l.columns, func(c column) bool { return c.key == keyDownDistance })
	if column < 0 {
		return nil
	}
	var days []aDay
	years := map[int]int{}
	for row := l.heading + 1; row < len(r.sheet.Rows); row++ {
		cells := r.sheet.Rows[row]
		if column >= len(cells) || cells[column].Text == "" || isDash(cells[column].Text) || r.headingAgain(l, cells) {
			continue
		}
		d, ok := dayOf(cells[column])
		if ok {
			d.pos = r.sheet.at(row, column)
			days = append(days, d)
			years[d.year]++
		} else if !downDistance.MatchString(unletter(cells[column].Text)) {
			return nil
		}
	}
	most := 0
	for year, n := range years {
		if n > years[most] || n == years[most] && year > most {
			most = year
		}
	}
	days = slices.DeleteFunc(days, func(d aDay) bool { return d.year != most })
	downs := func(of func(aDay) int) bool {
		return !slices.ContainsFunc(days, func(d aDay) bool { return of(d) < 1 || of(d) > 4 })
	}
	first, second := func(d aDay) int { return d.first }, func(d aDay) int { return d.second }
	ambiguous := slices.ContainsFunc(days, func(d aDay) bool { return d.named }) && downs(second)
	if len(days) < 2 || !downs(first) || ambiguous {
		return nil
	}
	slices.SortFunc(days, func(a, b aDay) int { return cmp.Compare(a.pos.Line, b.pos.Line) })
	read := map[tags.Pos]string{}
	for _, d := range days {
		read[d.pos] = strconv.Itoa(d.first) + " & " + strconv.Itoa(d.second)
	}
	l.how[column] = Guessed
	r.understood.Columns[column].How = Guessed
	r.refused.Warn(days[0].pos, "%s: the sheet made dates of downs and distances, and they are read back, %s as %s: look at them, or type them as text",
		r.sheet.Rows[l.heading][column].Text, days[0].cell.Text, read[days[0].pos])
	return read
}
