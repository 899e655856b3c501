package exchange

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// timeOfDay is how spreadsheets show times.
var timeOfDay = regexp.MustCompile(`^(\d{0,3}):([0-5]\d)(?::([0-5]\d)(?:\.0+)?)?(?: ?([AaPp])\.?[Mm]\.?)?$`)

const wantClock = "want minutes and seconds of a quarter, such as 11:32"

// quarterLength is the most that a clock shows, in seconds.
const quarterLength = 15 * 60

// spelling is how a cell spells a clock out in three numbers.
type spelling int

const (
	twoNumbers   spelling = iota // 11:32
	hoursMinutes                 // 11:32:00, of which the hours are minutes
	minutesOnly                  // 0:11:32
	either                       // 0:10:00, which is ten minutes or ten seconds
)

// clockSeconds returns what a cell says is left of a quarter, in seconds. Spreadsheets make half
// past eleven of 11:32, and eleven minutes of 0:11:32. A clock spelled either is returned as
// minutes; a sixtieth of that is its other reading. It is not ok where the cell is no clock.
func clockSeconds(c Cell) (seconds int, how spelling, ok bool) {
	shown := c.Text
	if c.Number != "" && !timeOfDay.MatchString(shown) {
		v, err := strconv.ParseFloat(c.Number, 64)
		if err != nil || v < 0 || v >= 1 {
			return 0, 0, false
		}
		s := int(math.Round(v * 24 * 3600))
		shown = fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	m := timeOfDay.FindStringSubmatch(shown)
	if m == nil {
		return 0, 0, false
	}
	first, _ := strconv.Atoi("0" + m[1])
	second, _ := strconv.Atoi(m[2])
	switch half := strings.ToLower(m[4]); {
	case half == "a" && first == 12:
		first = 0
	case half == "p" && first < 12:
		first += 12
	}
	seconds = 60*first + second
	if v, err := strconv.ParseFloat(c.Number, 64); err == nil && m[3] == "" && seconds > quarterLength && v > 0 && v < 1 {
		// Half past eleven, shown as 690 minutes: it was 11:30 when it was typed.
		seconds = int(math.Round(v * 24 * 60))
	}
	if m[3] != "" {
		third, _ := strconv.Atoi(m[3])
		switch {
		case first != 0 && third != 0:
			return 0, 0, false
		case first != 0:
			how = hoursMinutes
		case third != 0:
			seconds, how = 60*second+third, minutesOnly
		case 60*second > quarterLength: // as minutes it is no time of a quarter
			seconds, how = second, hoursMinutes
		case second == 0:
			seconds, how = 0, twoNumbers
		default:
			seconds, how = 60*second, either
		}
	}
	return seconds, how, seconds <= quarterLength
}

func clockText(seconds int) string { return fmt.Sprintf("%d:%02d", seconds/60, seconds%60) }

// readClock reads a clock by itself; see [reader.readClocks] for those that can be read in two
// ways.
func readClock(_ field, _ *reader, c Cell) (text, want string) {
	seconds, _, ok := clockSeconds(c)
	if !ok {
		return "", wantClock
	}
	return clockText(seconds), ""
}

// clockRead is how a clock was read that could be read in two ways.
type clockRead struct{ text, want string }

// timed is a clock of a sheet while its neighbours are looked at.
type timed struct {
	pos     tags.Pos
	quarter string
	seconds int
	how     spelling
}

// readClocks reads the clocks that say ten minutes or ten seconds by how the others are
// spelt and by those around them in the quarter, which it may not rise above or fall below.
// Where that does not tell, it is refused.
func (r *reader) readClocks(l layout) map[tags.Pos]clockRead {
	all, spelt := r.timed(l)
	read := map[tags.Pos]clockRead{}
	for i, c := range all {
		if c.how != either {
			continue
		}
		long, short := c.seconds, c.seconds/60
		fits := func(seconds int) bool {
			for j := i - 1; j >= 0 && all[j].quarter == c.quarter; j-- {
				if all[j].how != either {
					if seconds > all[j].seconds {
						return false
					}
					break
				}
			}
			for j := i + 1; j < len(all) && all[j].quarter == c.quarter; j++ {
				if all[j].how != either {
					if seconds < all[j].seconds {
						return false
					}
					break
				}
			}
			return true
		}
		meant := -1
		switch {
		case fits(long) && !fits(short):
			meant = long
		case fits(short) && !fits(long):
			meant = short
		case !fits(long): // the order is wrong, and tells nothing
		case spelt[hoursMinutes] && !spelt[minutesOnly]:
			meant = short
		case spelt[minutesOnly] && !spelt[hoursMinutes]:
			meant = long
		}
		if meant < 0 {
			read[c.pos] = clockRead{want: fmt.Sprintf("it may be %s or %s, and the clocks around it do not tell which: type it as text", clockText(long), clockText(short))}
			continue
		}
		read[c.pos] = clockRead{text: clockText(meant)}
	}
	return read
}

// timed is the clocks of a sheet in the order of its rows, and in which ways they are spelt.
func (r *reader) timed(l layout) (all []timed, spelt map[spelling]bool) {
	spelt = map[spelling]bool{}
	clock, quarter := -1, -1
	for i, c := range l.columns {
		switch c.key {
		case "clock":
			clock = i
		case "quarter":
			quarter = i
		}
	}
	if clock < 0 {
		return nil, spelt
	}
	for row := l.heading + 1; row < len(r.sheet.Rows); row++ {
		cells := r.sheet.Rows[row]
		if clock >= len(cells) {
			continue
		}
		seconds, how, ok := clockSeconds(cells[clock])
		if !ok {
			continue
		}
		t := timed{pos: r.sheet.at(row, clock), seconds: seconds, how: how}
		if quarter >= 0 && quarter < len(cells) {
			t.quarter = strings.ToLower(cells[quarter].Text)
		}
		spelt[how] = true
		all = append(all, t)
	}
	return all, spelt
}
