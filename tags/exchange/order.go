package exchange

import (
	"strings"

	"trenchcut/tags"
)

// warn adds what is odd about what was read: fields that no row fills, and clocks, downs,
// yard lines and series that do not follow.
func (r *reader) warn(l layout, entries []*entry) {
	if missing := r.understood.Unfilled; len(missing) > 0 {
		r.refused.Warn(r.sheet.at(l.heading, 0), "no row gives %s", strings.Join(missing, ", "))
	}
	game := &tags.Game{}
	for _, e := range entries {
		p := &tags.Play{Game: game, Pos: e.pos, Number: e.number}
		p.Clock, p.YardLine, p.Type, p.Unit = e.values["clock"].text, e.values["yard-line"].text, e.values["type"].text, e.values["unit"].text
		p.Down, p.Distance, p.Quarter, p.Series = e.whole("down"), e.whole("distance"), e.whole("quarter"), e.whole("series")
		game.Plays = append(game.Plays, p)
	}
	r.refused = append(r.refused, game.CheckOrder()...)
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
