package exchange

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// checkFilm refuses what has no film that it could be of.
func (r *reader) checkFilm(e *entry) {
	for angle, said := range e.film {
		film, known := r.game.Film(angle)
		_, ownFile := said["file"]
		for _, key := range onAngle {
			v, ok := said[key]
			before := len(r.refused)
			switch {
			case !ok:
			case angle == "" && key == "file" && len(r.game.Films) != 1:
				addHint(&r.refused, v.pos, "give the sheet an angle column, or name the column \"endzone file\"", "a file of no angle")
			case angle == "" && len(r.game.Films) == 0:
				r.refused.Add(v.pos, "a time on film, but the game names no film")
			case angle == "" && key != "file" && r.game.Films[0].File == "" && !r.clipped(e.number, r.game.Films[0].Angle):
				r.refused.Add(v.pos, "neither the sheet nor the game names a file for angle %q", r.game.Films[0].Angle)
			case angle != "" && !known && r.game.ID != "":
				r.refused.Add(v.pos, "angle %q is not among the game's film", angle)
			case angle != "" && !ownFile && film.File == "" && !r.clipped(e.number, angle):
				r.refused.Add(v.pos, "neither the sheet nor the game names a file for angle %q", angle)
			}
			if len(r.refused) > before {
				delete(said, key)
			}
		}
		if len(said) == 0 && angle == "" {
			delete(e.film, angle)
			e.angles = slices.DeleteFunc(e.angles, func(a string) bool { return a == angle })
		}
	}
}

// clipped reports whether the tag file names a file for a play on an angle.
func (r *reader) clipped(number int, angle string) bool {
	for _, p := range r.game.Plays {
		for _, w := range p.Written() {
			if p.Number == number && w.Angle == angle && w.File != "" {
				return true
			}
		}
	}
	return false
}

func (e *entry) on(angle string) map[string]value {
	if e.film[angle] == nil {
		e.film[angle] = map[string]value{}
		e.angles = append(e.angles, angle)
	}
	return e.film[angle]
}

func (r *reader) angle(text string, pos tags.Pos) string {
	name := strings.ToLower(strings.Join(strings.Fields(text), "-"))
	var names []string
	for _, f := range r.game.Films {
		if flatten(f.Angle) == flatten(text) {
			return f.Angle
		}
		names = append(names, f.Angle)
	}
	switch {
	case r.game.ID != "":
		addHint(&r.refused, pos, tags.DidYouMean(name, names), "angle %q is not among the game's film", short(text))
		return ""
	case !tags.ID.MatchString(name):
		r.refused.Add(pos, "angle %q: want letters, digits and hyphens, such as endzone", short(text))
		return ""
	}
	return name
}

// onFilm reads a file, or a time on film.
func (r *reader) onFilm(c column, cell Cell, heading string, pos tags.Pos) (value, bool) {
	v := value{key: c.key, text: cell.Text, pos: pos}
	if c.key == "file" {
		return v, true
	}
	v.text = filmTime(cell)
	at, err := tags.ParseInstant(v.text)
	if err == nil && at.From == tags.FromSnap {
		err = fmt.Errorf("%q counts from the snap: want a time on the film", v.text)
	}
	if err != nil {
		r.refused.Add(pos, "%s: %v", heading, err)
		return v, false
	}
	v.at = &at
	return v, true
}

// filmTime is a time on film as a cell holds it: as it is shown, but to the millisecond
// where a spreadsheet shows less of it than it knows.
func filmTime(c Cell) string {
	days, err := strconv.ParseFloat(c.Number, 64)
	if err != nil || !c.Date || days < 0 || days >= 4 {
		return c.Text
	}
	ms := int64(math.Round(days * 24 * 3600 * 1000))
	at, err := tags.ParseInstant(c.Text)
	if err == nil && at.From == tags.FromFilm && !at.NeedsRate() && max(ms-at.N/int64(tags.Millisecond), at.N/int64(tags.Millisecond)-ms) > 1000 {
		return c.Text // 8:02 is eight minutes in, whatever the spreadsheet thinks
	}
	return fmt.Sprintf("%d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}
