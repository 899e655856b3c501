package exchange

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// hunch guesses by its cells what a column holds whose heading is not known.
type hunch struct {
	column column
	// heading is what the flattened heading looks like; where it does, fit is enough.
	heading *regexp.Regexp
	// plain reports that the cells can be nothing else, whatever the heading.
	plain test
	fit   test
}

// test reports whether the cells of a column, none of them empty, look like something.
type test func(cells []string, v *tags.Vocabulary) bool

// hunches is tried in this order (common practice).
var hunches = []hunch{
	{column{key: "play"}, regexp.MustCompile(`^(#|n|num|number|nr|snapno|pl|ply|p|playid|plays?)$`), never, rising},
	{column{key: keyDownDistance}, nil, mostly(func(c string) bool { return downDistance.MatchString(c) }), never},
	{column{key: "quarter"}, regexp.MustCompile(`^(q|qu|qrt|quart|per|half|viertel)`), never, func(cells []string, v *tags.Vocabulary) bool {
		return mostly(among("1", "2", "3", "4", "5", "q1", "q2", "q3", "q4", "1st", "2nd", "3rd", "4th", "ot"))(cells, v) && slices.IsSorted(cells)
	}},
	{column{key: "series"}, regexp.MustCompile(`^(s|ser|serie|dr|drv|poss|possession)$`), never, func(cells []string, v *tags.Vocabulary) bool {
		last := 0
		return mostlySo(cells, func(c string) bool {
			n, err := strconv.Atoi(c)
			follows := err == nil && n >= last && n <= 99
			last = n
			return follows
		})
	}},
	{column{key: "down"}, regexp.MustCompile(`^(d|dwn|dow|downno|versuch)$`), never, mostly(among("1", "2", "3", "4", "1st", "2nd", "3rd", "4th"))},
	{column{key: "distance"}, regexp.MustCompile(`^(d|di|dst|dis|ds|ytg|yds?togo|yardsto|tg|need|dista)`), never, mostly(func(c string) bool {
		n, err := strconv.Atoi(unletter(c))
		return err == nil && n >= 1 && n <= 99 || isGoal(c)
	})},
	{column{key: "clock"}, regexp.MustCompile(`^(clk|clo|time|tim|gc|tm|left|remain)`), runsDown, mostly(func(c string) bool { return timeOfDay.MatchString(c) })},
	{column{key: "yard-line"}, regexp.MustCompile(`^(y|yd|yrd|yl|ln|line|spot|ball|field|fld|fp)`), mostly(func(c string) bool { return sidedYard.MatchString(c) }), mostly(func(c string) bool { return yardForm.MatchString(c) })},
	{column{key: "unit"}, regexp.MustCompile(`^(u|un|side|team|squad|odk|offdef|od)`), letters("d", "o", "k", "s"), words("unit")},
	{column{key: "type"}, regexp.MustCompile(`^(t|ty|typ|kind|rp|rpk|runpass|pr|what|playkind)`), letters("r", "p"), typed},
	{column{key: "hash"}, regexp.MustCompile(`^(h|hs|hsh|hash)`), letters("m", "l", "r", "c"), words("hash")},
	{column{key: "type"}, nil, typed, never},
	{column{key: "align"}, tech, never, words("align")},
	{column{key: "number-of-rushers"}, regexp.MustCompile(`^(n|no|num)?rush(ed)?(no)?$`), never, mostly(func(c string) bool {
		n, err := strconv.Atoi(c)
		return err == nil && n >= 0 && n <= 11
	})},
}

var (
	downDistance = regexp.MustCompile(`(?i)^([1-4])(?:st|nd|rd|th)? ?(?:&|and|/|-|–|—) ?(\d{1,2}|g|goal)$`)
	tech         = regexp.MustCompile(`^(tech|lineup|loc)$`)
	sidedYard    = regexp.MustCompile(`(?i)^(own|opp|opponent) ?[0-9]{1,2}$`)
	yardForm     = regexp.MustCompile(`(?i)^(own |opp |opponent |[-+])? ?([1-4]?[0-9]|50)$`)
)

func never([]string, *tags.Vocabulary) bool { return false }

// mostly reports whether of a column's cells at least four in five are so, and two at least.
func mostly(so func(cell string) bool) test {
	return func(cells []string, _ *tags.Vocabulary) bool { return mostlySo(cells, so) }
}

func mostlySo(cells []string, so func(cell string) bool) bool {
	n := 0
	for _, c := range cells {
		if so(c) {
			n++
		}
	}
	return n >= 2 && 5*n >= 4*len(cells)
}

func among(list ...string) func(string) bool {
	return func(cell string) bool { return slices.Contains(list, strings.ToLower(cell)) }
}

// letters is for columns of one letter a cell, of list: its first and another at least.
func letters(list ...string) test {
	return func(cells []string, _ *tags.Vocabulary) bool {
		seen := map[string]bool{}
		for _, c := range cells {
			c = strings.ToLower(c)
			if !slices.Contains(list, c) {
				return false
			}
			seen[c] = true
		}
		return seen[list[0]] && len(seen) > 1
	}
}

// words is for columns of words of a list of the vocabulary, two of them or more.
func words(list string) test {
	return func(cells []string, v *tags.Vocabulary) bool {
		seen := map[string]bool{}
		return mostlySo(cells, func(c string) bool {
			w, ok := wordIn(v, list, list, c)
			seen[w.Name] = true
			return ok
		}) && len(seen) > 1
	}
}

// typed is for columns of types of play; "pass" and "p" say too little to be one, and show
// that the column is of types all the same.
func typed(cells []string, v *tags.Vocabulary) bool {
	kinds := map[string]bool{}
	return mostlySo(cells, func(c string) bool {
		w, ok := wordOf(v.List("type"), c)
		kinds[w.Name] = true
		return ok || among("pass", "p", "r", "run", "k", "kick")(c)
	}) && len(kinds) > 1
}

// rising is for numbers of plays: whole, and each larger than the one before.
func rising(cells []string, _ *tags.Vocabulary) bool {
	last, up := 0, 0
	for _, c := range cells {
		if n, err := strconv.Atoi(c); err == nil && n > last {
			last = n
			up++
		}
	}
	return up >= 2 && 5*up >= 4*len(cells)
}

// runsDown is for clocks: times that mostly fall from one row to the next.
func runsDown(cells []string, v *tags.Vocabulary) bool {
	if !mostlySo(cells, func(c string) bool { return timeOfDay.MatchString(c) }) {
		return false
	}
	falls, last := 0, ""
	for _, c := range cells {
		if len(c) < 5 {
			c = strings.Repeat("0", 5-len(c)) + c
		}
		if c < last {
			falls++
		}
		last = c
	}
	return len(cells) >= 4 && 3*falls >= 2*(len(cells)-1)
}

// guessByCells gives columns whose headings are not known what their cells look like, one
// field to one column at most. What the mapping calls an extra stays one.
func (s *Sheet) guessByCells(l *layout, v *tags.Vocabulary) {
	for _, h := range hunches {
		if l.has(h.column.key) || (h.column.key == keyDownDistance || h.column.key == "down" || h.column.key == "distance") && l.has(keyDownDistance) {
			continue
		}
		if h.column.key == keyDownDistance && (l.has("down") || l.has("distance")) {
			continue
		}
		if _, ofReps := repFieldOf(h.column.key); ofReps && !l.has(keyRusher) {
			continue
		}
		best := -1
		halves := func(cells []string) bool { // 1 and 2 of a game's halves are no quarters
			return !slices.ContainsFunc(cells, func(c string) bool { return strings.ContainsAny(c, "34") })
		}
		for i, c := range l.columns {
			heading := s.Rows[l.heading][i].Text
			if c.key != keyExtra || l.how[i] != Kept || strings.HasPrefix(heading, extraPrefix) {
				continue
			}
			cells := s.below(l.heading, i)
			if h.column.key == "quarter" && strings.HasPrefix(flatten(heading), "half") && halves(cells) {
				continue
			}
			if h.heading != nil && h.heading.MatchString(flatten(heading)) && h.fit(cells, v) {
				best = i
				break
			}
			if best < 0 && h.plain(cells, v) {
				best = i
			}
		}
		if best >= 0 {
			l.columns[best], l.how[best] = h.column, Guessed
		}
	}
}

// below is the cells of a column below the headings that hold something, as shown.
func (s *Sheet) below(heading, column int) []string {
	var cells []string
	for _, row := range s.Rows[heading+1:] {
		if column < len(row) && row[column].Text != "" {
			cells = append(cells, row[column].Text)
		}
	}
	return cells
}
