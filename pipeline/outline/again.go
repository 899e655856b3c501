package outline

import (
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// again is an outline of a game whose tag file has film already. A play's film stays together
// with all that was tagged on it; what changes is the number that it has. What the sheet says
// stays with the numbers.
type again struct {
	game  *tags.Game // with what the sheet brings
	data  []byte     // of game
	shots []*Shot
	at    []*Shot // of each play of game the shot that it is on; nil where none is looked at

	changes []Change
	lost    map[int]string // the plays whose film goes, and why where that is known
}

// Change is what an outline changes of a play of a tag file that has film already.
type Change struct {
	Play int
	What string // in words
}

func (c Change) String() string { return fmt.Sprintf("play %d: %s", c.Play, c.What) }

// newAgain finds the shots that the plays of a game are on.
func newAgain(game *tags.Game, data []byte, shots []*Shot) *again {
	for _, s := range shots {
		game.SetClock(s.File, s.Source.Clock())
	}
	a := &again{game: game, data: data, shots: shots, lost: map[int]string{}}
	for _, p := range game.Plays {
		a.at = append(a.at, a.shotOf(p))
	}
	return a
}

// shotOf is the shot that a play is on: that of the first of its angles that is looked at.
func (a *again) shotOf(p *tags.Play) *Shot {
	for _, angle := range p.Angles() {
		view, err := p.View(angle)
		if err != nil {
			continue
		}
		var best *Shot
		most := tags.Time(0)
		for _, s := range a.shots {
			if s.File != view.File {
				continue
			}
			clock := s.Source.Clock()
			from, to := clock.At(s.Span.In), clock.At(s.Span.Out)
			if view.ToEnd {
				view.Out = to
			}
			if both := min(to, view.Out) - max(from, view.In); both > most {
				best, most = s, both
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// numbers is the number under which the tag file has each shot that a play is on.
func (a *again) numbers() map[*Shot]int {
	numbers := map[*Shot]int{}
	for i, s := range a.at {
		if s != nil {
			numbers[s] = a.game.Plays[i].Number
		}
	}
	return numbers
}

// corrected reports whether a pin contradicts the numbers of the tag file. Then none of its numbers
// is evidence any more.
func (a *again) corrected(pins []Pin) bool {
	numbers := a.numbers()
	return slices.ContainsFunc(pins, func(pin Pin) bool {
		for s, number := range numbers {
			if number == pin.Play && s.ID != pin.Shot || s.ID == pin.Shot && number != pin.Play {
				return true
			}
		}
		return false
	})
}

// trust makes all plays sure where none moves to other film, except those that the tag file marks
// as unsure: somebody left them on this film.
func (a *again) trust(plays []Play) {
	numbers := a.numbers()
	if slices.ContainsFunc(plays, func(p Play) bool {
		return slices.ContainsFunc(p.Shots, func(s *Shot) bool { return numbers[s] != 0 && numbers[s] != p.Number })
	}) {
		return
	}
	marked := map[int]bool{}
	for _, p := range a.game.Plays {
		marked[p.Number] = p.Extra[unsureKey] != ""
	}
	for i := range plays {
		p := &plays[i]
		stays := slices.ContainsFunc(p.Shots, func(s *Shot) bool { return numbers[s] == p.Number })
		if stays && !marked[p.Number] {
			p.SureOfPlay, p.SureOfAngles, p.Wrong = true, true, 0
		}
	}
}

// say notes a change.
func (a *again) say(play int, format string, args ...any) {
	a.changes = append(a.changes, Change{play, fmt.Sprintf(format, args...)})
}

// write is the tag file with the plays that were found, and what that changes. It fails where
// film that something was tagged on would be of no play, or of one with other film.
func (a *again) write(file string, plays []Play, v *tags.Vocabulary) ([]byte, []Change, error) {
	to, bare, err := a.places(plays)
	if err != nil {
		return nil, nil, err
	}
	if err := begunOn(file, a.game, func(number int) bool {
		i := slices.IndexFunc(a.game.Plays, func(p *tags.Play) bool { return p.Number == number })
		return i >= 0 && (to[i] != i || bare[i])
	}); err != nil {
		return nil, nil, err
	}
	data, err := a.strip(bare)
	if err != nil {
		return nil, nil, err
	}
	a.sayMoves(to, bare)
	if data, err = renumber(data, to); err != nil {
		return nil, nil, err
	}
	game, faults := tags.ParseGame(file, data, v)
	if faults.Err() != nil {
		return nil, nil, faults
	}
	if data, err = a.addFilm(file, game, data, plays, to); err != nil {
		return nil, nil, err
	}
	for play, why := range a.lost {
		a.say(play, "no film%s", why)
	}
	return data, inOneLine(a.changes), nil
}

// inOneLine is changes by play, with all of a play in one.
func inOneLine(changes []Change) []Change {
	slices.SortStableFunc(changes, func(x, y Change) int { return x.Play - y.Play })
	var all []Change
	for _, c := range changes {
		if last := len(all) - 1; last >= 0 && all[last].Play == c.Play {
			all[last].What += "; " + c.What
		} else {
			all = append(all, c)
		}
	}
	return all
}

// places returns, for the film of each play of the tag file, the index of the play whose number it
// gets, and which plays lose their film, because nothing was tagged on it. Plays without film get
// the numbers that are left.
func (a *again) places(plays []Play) (to []int, bare []bool, err error) {
	place, of := map[int]int{}, map[*Shot]Play{}
	for i, p := range a.game.Plays {
		place[p.Number] = i
	}
	for _, p := range plays {
		for _, s := range p.Shots {
			of[s] = p
		}
	}
	to, bare = make([]int, len(a.at)), make([]bool, len(a.at))
	taken := map[int]int{} // by place, which play gets it
	take := func(i, j int) error {
		to[i] = -1
		p := a.game.Plays[i]
		other, twice := taken[j]
		if !twice {
			to[i], taken[j] = j, i
			return nil
		}
		switch o := a.game.Plays[other]; {
		case a.asFound(i):
			bare[i] = true
		case a.asFound(other):
			bare[other], to[other] = true, -1
			to[i], taken[j] = j, i
		default:
			return wrong("plays %d and %d would have one number, %d, and something is tagged on the film of both: --pin says which is which", o.Number, p.Number, a.game.Plays[j].Number)
		}
		return nil
	}
	for i, p := range a.game.Plays {
		s := a.at[i]
		to[i] = -1
		switch found, used := of[s]; {
		case !hasFilm(p):
		case s == nil: // of film that is not looked at
			err = take(i, i)
		case used:
			err = take(i, place[found.Number])
		case a.asFound(i):
			bare[i] = true
		default:
			err = wrong("play %d is on shot %d%s, which would be of no play: --pin says of which", p.Number, s.ID, withReps(p))
		}
		if err != nil {
			return nil, nil, err
		}
	}
	a.settleRest(to, bare, taken)
	return to, bare, nil
}

// settleRest gives the plays without film the numbers that are left, each its own where that is
// one of them.
func (a *again) settleRest(to []int, bare []bool, taken map[int]int) {
	for i := range to {
		if _, gone := taken[i]; to[i] < 0 && !gone {
			to[i], taken[i] = i, i
		}
	}
	free := 0
	for i := range to {
		if to[i] >= 0 {
			continue
		}
		for _, gone := taken[free]; gone; _, gone = taken[free] {
			free++
		}
		to[i], taken[free] = free, i
	}
}

// sayMoves notes the plays that get film of another play, and those that lose theirs.
func (a *again) sayMoves(to []int, bare []bool) {
	for i, j := range to {
		had, gets := a.game.Plays[j], a.game.Plays[i]
		switch {
		case hasFilm(gets) && !bare[i]:
			if i != j {
				a.say(had.Number, "the film of play %d%s", gets.Number, withReps(gets))
			}
		case hasFilm(had) && bare[j] && a.at[j] != nil && a.at[j].Off != "":
			a.lost[had.Number] = fmt.Sprintf(", for shot %d shows no play: %s", a.at[j].ID, a.at[j].Why())
		case hasFilm(had):
			a.lost[had.Number] = ""
		}
	}
}

// asFound reports whether the film of a play is as outline writes it and nothing is tagged on it,
// so that it may be dropped.
func (a *again) asFound(i int) bool {
	p := a.game.Plays[i]
	if len(p.Reps) > 0 {
		return false
	}
	for _, m := range tags.AllMarks {
		if _, marked := p.Marks.At(m); marked {
			return false
		}
	}
	for _, w := range p.Written() {
		view, err := p.View(w.Angle)
		if w.Angle == "" || err != nil {
			return false
		}
		if !slices.ContainsFunc(a.shots, func(s *Shot) bool { return s.writtenAs(view) }) {
			return false
		}
	}
	return true
}

// writtenAs reports whether a view is that of s as an outline writes it.
func (s *Shot) writtenAs(v tags.View) bool {
	clock := s.Source.Clock()
	near := func(a, b tags.Time) bool { return max(a-b, b-a) <= tags.Millisecond }
	return s.File == v.File && near(v.In, clock.At(s.Span.In)) && (v.ToEnd || near(v.Out, clock.At(s.Span.Out))) &&
		v.Snaps == s.Snaps && (!s.Snaps || near(v.Snap, clock.At(s.Snap)))
}

// strip takes the film out of plays on which nothing was tagged.
func (a *again) strip(bare []bool) ([]byte, error) {
	var edits []tags.Edit
	for i, p := range a.game.Plays {
		if !bare[i] {
			continue
		}
		at := tags.Path{"plays", i}
		edits = append(edits, tags.Remove(at.To("angles")))
		gone := 0
		for _, key := range withFilm {
			if _, there := p.Extra[key]; there {
				gone++
			}
		}
		switch extra := at.To("extra"); {
		case gone == 0:
		case gone == len(p.Extra):
			edits = append(edits, tags.Remove(extra))
		default:
			for _, key := range withFilm {
				if _, there := p.Extra[key]; there {
					edits = append(edits, tags.Remove(append(slices.Clone(extra), key)))
				}
			}
		}
	}
	return spliceEach(a.data, edits)
}

// spliceEach makes edits one by one, so that they may be of one mapping.
func spliceEach(data []byte, edits []tags.Edit) ([]byte, error) {
	var err error
	for _, e := range edits {
		if data, err = tags.Splice(data, e); err != nil {
			return nil, fmt.Errorf("edit the tag file: %w", err)
		}
	}
	return data, nil
}

// addFilm adds shots of plays that the tag file does not have yet, and marks what is not sure. Data
// is the text of game, whose plays are in the order of a.game's.
func (a *again) addFilm(file string, game *tags.Game, data []byte, plays []Play, to []int) ([]byte, error) {
	taken, place := map[*Shot]bool{}, map[int]int{}
	for _, s := range a.at {
		taken[s] = true
	}
	for i, p := range game.Plays {
		place[p.Number] = i
	}
	common := map[string]string{}
	for _, f := range game.Films {
		common[f.Angle] = f.File
	}
	var edits []tags.Edit
	for _, found := range plays {
		i := place[found.Number]
		p, at := game.Plays[i], tags.Path{"plays", i}
		had := hasFilm(p)
		added := Play{Number: found.Number, SureOfPlay: found.SureOfPlay, SureOfAngles: found.SureOfAngles}
		for _, s := range found.Shots {
			if taken[s] && a.at[i] != s || slices.Contains(p.Angles(), s.Angle) {
				continue
			}
			added.Shots = append(added.Shots, s)
			verb := "add"
			if _, lost := a.lost[found.Number]; lost {
				verb = "now"
			}
			clock := s.Source.Clock()
			a.say(found.Number, "%s shot %d, %s from %s to %s", verb, s.ID, s.Angle, clock.At(s.Span.In), clock.At(s.Span.Out))
		}
		if len(added.Shots) > 0 {
			delete(a.lost, found.Number)
		}
		edits = append(edits, a.doubts(p, at, found, added, had, to[i] != i)...)
		if len(added.Shots) == 0 {
			continue
		}
		for _, s := range added.Shots {
			if _, there := common[s.Angle]; !there {
				about := flowMapping()
				if !s.Clip {
					common[s.Angle] = s.File
					put(about, "file", filmNode(file, s.File))
				} else {
					common[s.Angle] = ""
				}
				edits = append(edits, tags.Insert(tags.Path{"film"}, s.Angle, about))
			}
		}
		edits = append(edits, added.insert(p, at, file, common)...)
	}
	return spliceEach(data, edits)
}

// insert is the edits that add the shots of p to a play of a tag file, which may have angles
// already.
func (p Play) insert(play *tags.Play, at tags.Path, file string, common map[string]string) []tags.Edit {
	angles := p.angles(file, common)
	if !slices.ContainsFunc(play.Written(), func(w tags.Written) bool { return w.Angle != "" }) {
		return []tags.Edit{tags.Insert(at, "angles", angles, tags.PlayKeysBefore("angles")...)}
	}
	var edits []tags.Edit
	for i := 0; i < len(angles.Content); i += 2 {
		edits = append(edits, tags.Insert(at.To("angles"), angles.Content[i].Value, angles.Content[i+1]))
	}
	return edits
}

// doubts returns the edits that mark guessed snaps of new film and plays that are not sure, and
// that unmark a play that is sure now.
func (a *again) doubts(p *tags.Play, at tags.Path, found, added Play, had, moved bool) []tags.Edit {
	var values []tags.ExtraValue
	if !had && added.Snaps() {
		values = append(values, tags.ExtraValue{Key: tags.GuessKey, Value: string(tags.EverySnap)})
	}
	before, marked := p.Extra[unsureKey]
	switch doubt := found.Doubt(); {
	case doubt == "" && marked:
		a.say(p.Number, "sure now")
		if len(p.Extra) == 1 {
			return []tags.Edit{tags.Remove(at.To("extra"))}
		}
		return append(tags.SetExtra(p, at, values...), tags.Remove(at.To("extra", unsureKey)))
	case doubt != "" && doubt != before && (moved || !had):
		a.say(p.Number, "not sure")
		values = append(values, tags.ExtraValue{Key: unsureKey, Value: doubt})
	}
	return tags.SetExtra(p, at, values...)
}

// renumber gives plays of a tag file the facts of others: the i-th those of the from[i]-th.
func renumber(data []byte, from []int) ([]byte, error) {
	var before yaml.Node
	if err := yaml.Unmarshal(data, &before); err != nil {
		return nil, err
	}
	said := factsIn(&before, len(from))
	// What goes is taken out first, one key of each play at a time, since a place can be edited
	// but once.
	for taking := true; ; {
		var now yaml.Node
		if err := yaml.Unmarshal(data, &now); err != nil {
			return nil, err
		}
		var edits []tags.Edit
		for i, f := range factsIn(&now, len(from)) {
			if from[i] == i {
				continue
			}
			its := f.become(said[from[i]], tags.Path{"plays", i}, taking)
			if taking {
				its = its[:min(len(its), 1)]
			}
			edits = append(edits, its...)
		}
		var err error
		if data, err = tags.Splice(data, edits...); err != nil {
			return nil, fmt.Errorf("give the film other numbers: %w", err)
		}
		if !taking {
			return data, nil
		}
		taking = len(edits) > 0
	}
}
