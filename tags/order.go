package tags

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// CheckPlays warns of the plays of all games: what [Game.CheckFilled] and [Game.CheckOrder] find,
// two men of a side who wear one number on a play, and models that are none.
func (s *Season) CheckPlays() Faults {
	var fs Faults
	for _, g := range s.Games {
		fs = append(fs, g.CheckFilled()...)
		fs = append(fs, g.CheckOrder()...)
		fs = append(fs, g.checkNumbers()...)
	}
	return append(fs, s.checkModels()...)
}

// checkNumbers warns of two men of one side of the ball who wear one number on one play, of
// whom the rules let only one play at a time. In practice each side may have its own.
func (g *Game) checkNumbers() Faults {
	type worn struct {
		rushes bool
		number string
	}
	var fs Faults
	for _, p := range g.Plays {
		wears := map[worn]*Person{}
		for _, r := range p.Reps {
			for i, who := range []*Person{r.Rusher, r.Blocker} {
				if who == nil || who.Jersey == "" {
					continue
				}
				number := worn{i == 0, who.Jersey}
				switch first := wears[number]; {
				case first == nil:
					wears[number] = who
				case first != who:
					fs.Warn(r.Pos, "%s and %s both wear %s in play %d", first.ID, who.ID, who.Jersey, p.Number)
					fs.hint("one of them is another man, or wears another number")
				}
			}
		}
	}
	return fs
}

// CheckFilled warns of the fields that a game should say of its plays and says of none:
// without them a question about them finds nothing, and no rate counts. Practice has a type
// of play at most, and a game of under five plays has just been begun.
func (g *Game) CheckFilled() Faults {
	var fs Faults
	var missing []string
	for _, f := range PlayFields {
		if !f.Wanted || g.Practised() && f.Name != "type" {
			continue
		}
		if !slices.ContainsFunc(g.Plays, func(p *Play) bool { return f.Text(p) != "" }) {
			missing = append(missing, f.Name)
		}
	}
	if len(g.Plays) >= 5 && len(missing) > 0 {
		fs.Warn(g.Pos, "no play says its %s", strings.Join(missing, ", "))
	}
	return fs
}

// CheckOrder warns where one play does not follow from the one before: a clock that rises
// within a quarter, a quarter or a series that goes back, a series or a down that is passed
// over, a yard line that the yards to go do not explain. Plays are taken in the order of their
// numbers. A penalty that nobody tagged may explain it; a slip of the pen is likelier.
func (g *Game) CheckOrder() Faults {
	o := orderCheck{step: g.seriesStep()}
	plays := slices.Clone(g.Plays)
	slices.SortStableFunc(plays, func(a, b *Play) int { return a.Number - b.Number })
	var timed *Play // the last play with a clock
	for i, p := range plays {
		if _, ok := p.ClockSeconds(); ok {
			if timed != nil {
				o.clock(timed, p)
			}
			timed = p
		}
		if i > 0 {
			o.follow(plays[i-1], p)
		}
	}
	return o.faults
}

// clock holds a clock to the one before. Where no quarter is said, one that rises may begin
// another, if the one before was about to end.
func (o *orderCheck) clock(a, b *Play) {
	const about = 2 * 60
	before, _ := a.ClockSeconds()
	now, _ := b.ClockSeconds()
	switch {
	case now <= before:
	case a.Quarter != nil && b.Quarter != nil && *a.Quarter == *b.Quarter:
		o.warn(a, b, "the clock rises from %s to %s within quarter %d", a.Clock, b.Clock, *a.Quarter)
	case (a.Quarter == nil || b.Quarter == nil) && before > about:
		o.warn(a, b, "the clock rises from %s to %s", a.Clock, b.Clock)
	}
}

// ClockSeconds is what is left of the quarter in seconds; false where the play does not say.
func (p *Play) ClockSeconds() (int, bool) {
	return ParseClock(p.Clock)
}

// ParseClock reads minutes and seconds, such as 11:32, as seconds.
func ParseClock(text string) (int, bool) {
	minutes, seconds, ok := strings.Cut(text, ":")
	m, errM := strconv.ParseUint(minutes, 10, 8)
	s, errS := strconv.ParseUint(seconds, 10, 8)
	return int(m*60 + s), ok && errM == nil && errS == nil && len(seconds) == 2 && s < 60
}

// seriesStep is by how much the number of the series mostly rises: 2 where a sheet counts
// theirs too and has only ours.
func (g *Game) seriesStep() int {
	steps := map[int]int{}
	var last *Play
	for _, p := range g.Plays {
		if p.Series == nil {
			continue
		}
		if last != nil && *p.Series > *last.Series {
			steps[*p.Series-*last.Series]++
		}
		last = p
	}
	usual := 0
	for step, n := range steps {
		if n > steps[usual] || n == steps[usual] && step < usual {
			usual = step
		}
	}
	return usual
}

type orderCheck struct {
	faults Faults
	step   int
}

// warn points at both plays.
func (o *orderCheck) warn(before, p *Play, format string, args ...any) {
	o.faults.Warn(p.Pos, "play %d after play %d: %s", p.Number, before.Number, fmt.Sprintf(format, args...))
	if before.Pos.Line > 0 {
		o.faults.hint(fmt.Sprintf("play %d is at %s", before.Number, before.Pos))
	}
}

// follow holds a play to the one before it in the file.
func (o *orderCheck) follow(a, b *Play) {
	if a.Quarter != nil && b.Quarter != nil && *b.Quarter < *a.Quarter {
		o.warn(a, b, "the quarter goes back from %d to %d", *a.Quarter, *b.Quarter)
		return
	}
	sameSeries := true // as far as is known
	if a.Series != nil && b.Series != nil {
		sameSeries = *a.Series == *b.Series
		switch {
		case *b.Series < *a.Series:
			o.warn(a, b, "the series goes back from %d to %d", *a.Series, *b.Series)
			return
		case !sameSeries && b.Number == a.Number+1 && *b.Series-*a.Series > max(o.step, 1):
			o.warn(a, b, "the series jumps from %d to %d", *a.Series, *b.Series)
		}
	}
	if a.Unit != b.Unit || b.Number != a.Number+1 || a.Down == nil || b.Down == nil || !sameSeries {
		return
	}
	known := a.Series != nil && b.Series != nil // that it is one series
	switch d := *b.Down; {
	case d == 1, d == *a.Down+1:
	case d == *a.Down && (a.Type == "no-play" || a.Distance == nil || b.Distance == nil || *a.Distance != *b.Distance):
	case d == *a.Down:
		o.warn(a, b, "down %d comes twice, with as far to go", d)
		return
	case known || d > *a.Down:
		o.warn(a, b, "down %d follows down %d", d, *a.Down)
		return
	default:
		return
	}
	o.gain(a, b, known)
}

// gain holds the yard line to the yards to go, within a yard for halves that were rounded.
func (o *orderCheck) gain(a, b *Play, known bool) {
	from, ok := a.ToGoal()
	to, ok2 := b.ToGoal()
	if !ok || !ok2 || a.Distance == nil || b.Distance == nil {
		return
	}
	gained := from - to
	switch {
	case *b.Down == *a.Down+1:
		if need := *a.Distance - *b.Distance; max(gained-need, need-gained) > 1 {
			o.warn(a, b, "%s to %s is %s, and the yards to go say %s", a.YardLine, b.YardLine, yards(gained), yards(need))
		}
	case *b.Down == 1 && known && *a.Down < 4 && gained < *a.Distance-1:
		o.warn(a, b, "a first down, but %s to %s is %s, of %d to go", a.YardLine, b.YardLine, yards(gained), *a.Distance)
	}
}

func yards(n int) string {
	switch {
	case n < 0:
		return "a loss of " + strconv.Itoa(-n)
	default:
		return "a gain of " + strconv.Itoa(n)
	}
}
