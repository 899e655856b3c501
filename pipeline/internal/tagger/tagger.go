// Package tagger tags a game by keys alone, as a person would who knows the keys, for tests
// and to count what that costs.
package tagger

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

// Step is one key, or a text that is typed into a box of its own, at a frame on the screen.
type Step struct {
	At   mark.At
	Key  string
	Text string       // instead of a key: all of it, and Enter
	Spot *tags.Point  // instead of a key: a click on the man
	Drag []tags.Point // instead of a key: a drag from the first to the second
	Kind Kind
	Rep  string // whose rep it is for, with the play's number before it; empty for none
}

// Kind is what a step is counted as.
type Kind string

// The kinds.
const (
	Situation Kind = "situation"
	Times     Kind = "in, out and snap"
	Facts     Kind = "facts" // who, where, move, set, hands, help, battle, outcome
	Marks     Kind = "marks"
	Apart     Kind = "apart" // the blocker where he was not carried on, and all that is beside a typical rep
)

// typical is the fields of a typical rep.
var typical = []mark.Field{"align", "side", "move", "blocker.set", "blocker.hands", "help", "battle", "outcome", "blocker.block"}

// Tagger tags the game of a document until it says what another game says.
type Tagger struct {
	doc   *mark.Document
	desk  mark.Desk
	at    mark.At
	Steps []Step
	kind  Kind
	rep   string
}

// New is a tagger of doc.
func New(doc *mark.Document) *Tagger { return &Tagger{doc: doc} }

// Wanted is what a game says, by play, rep and field.
type Wanted struct {
	Game  *tags.Game
	Clock func(angle string) tags.Clock
	Value func(play int, rep string, f mark.Field) string
}

func (t *Tagger) key(keys ...string) error {
	for _, k := range keys {
		t.Steps = append(t.Steps, Step{At: t.at, Key: k, Kind: t.kind, Rep: t.rep})
		if t.desk = t.doc.Act(t.desk, mark.Act{Do: "key", Key: k, At: t.at}); t.desk.Wrong {
			return fmt.Errorf("key %q in play %d, %s: %s", k, t.desk.Play, t.desk.Rep, t.desk.Said)
		}
	}
	return nil
}

func (t *Tagger) text(text string) error {
	t.Steps = append(t.Steps, Step{At: t.at, Text: text, Kind: t.kind, Rep: t.rep})
	if t.desk = t.doc.Act(t.desk, mark.Act{Do: "text", Text: text, At: t.at}); t.desk.Wrong {
		return fmt.Errorf("text %q in play %d, %s: %s", text, t.desk.Play, t.desk.Rep, t.desk.Said)
	}
	return nil
}

// spot clicks on the man.
func (t *Tagger) spot(at tags.Point) error {
	t.Steps = append(t.Steps, Step{At: t.at, Spot: &at, Kind: t.kind, Rep: t.rep})
	if t.desk = t.doc.Act(t.desk, mark.Act{Do: "clicked", X: at.X, Y: at.Y, At: t.at}); t.desk.Wrong {
		return errors.New(t.desk.Said)
	}
	return nil
}

// Plays is the first pass.
func (t *Tagger) Plays(w Wanted) error {
	for _, p := range w.Game.Plays {
		t.kind = Times
		if err := t.key("+"); err != nil {
			return err
		}
		if err := t.key(append(strings.Split(fmt.Sprint(p.Number), ""), "Enter")...); err != nil {
			return err
		}
		for _, angle := range p.Angles() {
			v, err := p.View(angle)
			if err != nil {
				return err
			}
			clock := w.Clock(angle)
			for _, m := range []struct {
				key string
				at  tags.Time
			}{{"i", v.In}, {"s", v.Snap}, {"o", v.Out}} {
				t.at = mark.At{Angle: angle, Frame: clock.FrameAt(m.at)}
				if err := t.key(m.key); err != nil {
					return err
				}
			}
		}
		first := p.Angles()[0]
		t.kind = Marks
		for _, m := range []struct {
			key  string
			mark tags.Mark
		}{{"r", tags.Release}, {"f", tags.Finish}} {
			if since, ok := p.Since(m.mark); ok {
				v, _ := p.View(first)
				t.at = mark.At{Angle: first, Frame: w.Clock(first).FrameAt(v.Snap + since)}
				if err := t.key(m.key); err != nil {
					return err
				}
			}
		}
		t.kind = Situation
		if err := t.chain(w, p.Number, ""); err != nil {
			return err
		}
		if err := t.others(w, p.Number, "", []mark.Field{"unit", "strength", "personnel", "front", "call", "coverage", "protection", "number-of-rushers", "blitz", "qb", "ball-out"}); err != nil {
			return err
		}
	}
	return nil
}

// markKeys is the keys of the marks of a rep while a field is open.
var markKeys = []struct {
	key  string
	mark tags.Mark
}{{"G", tags.Getoff}, {"C", tags.Contact}, {"T", tags.Turn}, {"B", tags.Beat}, {"F", tags.Finish}}

// Reps is the second pass.
func (t *Tagger) Reps(w Wanted) error {
	t.kind, t.rep = Situation, ""
	if err := t.key("R"); err != nil {
		return err
	}
	for t.desk.Play != w.Game.Plays[0].Number {
		if err := t.key("PageUp"); err != nil {
			return err
		}
	}
	for i, p := range w.Game.Plays {
		t.kind, t.rep = Situation, ""
		if i > 0 {
			if err := t.key("PageDown"); err != nil {
				return err
			}
		}
		for _, r := range p.Reps {
			t.rep = fmt.Sprintf("%d %s", p.Number, r.Rusher.ID)
			if err := t.oneRep(w, p, r); err != nil {
				return err
			}
		}
	}
	return nil
}

func (t *Tagger) oneRep(w Wanted, p *tags.Play, r *tags.Rep) error {
	t.kind = Facts
	for i, digit := range r.Rusher.Jersey {
		if err := t.key(string(digit)); err != nil {
			return err
		}
		if t.desk.Rep == r.Rusher.ID && t.desk.Ask == "" {
			break
		}
		if i == len(r.Rusher.Jersey)-1 {
			if err := t.key("Enter"); err != nil {
				return err
			}
		}
	}
	first := p.Angles()[0]
	t.kind = Marks
	for _, m := range markKeys {
		if w.Value(p.Number, r.Rusher.ID, mark.Field("marks."+string(m.mark))) == "" {
			continue
		}
		v, err := p.View(first)
		if err != nil {
			return err
		}
		since, _ := r.Since(m.mark)
		t.at = mark.At{Angle: first, Frame: w.Clock(first).FrameAt(v.Snap + since)}
		key := m.key
		if t.desk.Open == "" {
			key = strings.ToLower(key)
		}
		if err := t.key(key); err != nil {
			return err
		}
	}
	t.kind = Facts
	for _, carried := range []mark.Field{"align", "side", "blocker.who"} {
		now, _ := t.doc.Look().Value(p.Number, r.Rusher.ID, carried)
		if want := w.Value(p.Number, r.Rusher.ID, carried); now == "" || now == want || want == "" || t.desk.Open == "" {
			continue
		}
		t.count(carried, r.Rusher.ID)
		if err := t.key(strings.ToUpper(direct[carried])); err != nil {
			return err
		}
		if err := t.fill(w, p.Number, r.Rusher.ID, carried); err != nil {
			return err
		}
	}
	t.kind = Facts
	if err := t.chain(w, p.Number, r.Rusher.ID); err != nil {
		return err
	}
	var rest []mark.Field
	for _, rf := range tags.RepFields[1:] {
		f := mark.Field(rf.FileKey())
		if rf.Under != "" {
			f = mark.Field(rf.Under + "." + rf.FileKey())
		}
		rest = append(rest, f)
	}
	if err := t.others(w, p.Number, r.Rusher.ID, append(rest, "counter")); err != nil {
		return err
	}
	t.kind = Apart
	for _, angle := range p.Angles() {
		if spot, ok := r.Spot[angle]; ok {
			v, err := p.View(angle)
			if err != nil {
				return err
			}
			t.at = mark.At{Angle: angle, Frame: w.Clock(angle).FrameAt(v.Snap)}
			if err := t.spot(spot); err != nil {
				return err
			}
		}
	}
	for _, d := range r.Draw {
		if err := t.drawing(w, p, r, d); err != nil {
			return err
		}
	}
	return nil
}

// drawing drags a drawing over the frame of its mark.
func (t *Tagger) drawing(w Wanted, p *tags.Play, r *tags.Rep, d tags.Drawing) error {
	v, err := p.View(d.Angle)
	if err != nil {
		return err
	}
	since, _ := r.Since(d.At)
	t.at = mark.At{Angle: d.Angle, Frame: w.Clock(d.Angle).FrameAt(v.Snap + since)}
	to := d.Points[len(d.Points)-1]
	from := tags.Point{X: to.X - 0.1, Y: to.Y}
	if len(d.Points) > 1 {
		from = d.Points[0]
	}
	t.Steps = append(t.Steps, Step{At: t.at, Drag: []tags.Point{from, to}, Kind: t.kind, Rep: t.rep})
	if t.desk = t.doc.Act(t.desk, mark.Act{Do: "drawn", X: from.X, Y: from.Y, ToX: to.X, ToY: to.Y, At: t.at}); t.desk.Wrong {
		return errors.New(t.desk.Said)
	}
	if d.Shape != "arrow" {
		if err := t.key(d.Shape[:1]); err != nil {
			return err
		}
	}
	return t.key("Enter")
}

// chain goes through the form that opens field by field.
func (t *Tagger) chain(w Wanted, play int, rep string) error {
	if t.desk.Open == "" && t.missing(w, play, rep) {
		if err := t.key("Enter"); err != nil {
			return err
		}
	}
	for t.desk.Open != "" && t.desk.Chain {
		if rep != "" && t.desk.Rep != rep {
			return fmt.Errorf("play %d: the form went on to %s", play, t.desk.Rep)
		}
		f := t.desk.Open
		t.count(f, rep)
		if err := t.fill(w, play, rep, f); err != nil {
			return err
		}
	}
	return nil
}

// count says as what the keys for a field count.
func (t *Tagger) count(f mark.Field, rep string) {
	switch {
	case rep == "":
		t.kind = Situation
	case slices.Contains(typical, f):
		t.kind = Facts
	default:
		t.kind = Apart
	}
}

// missing reports whether the form would open: some field of its chain is wanted.
func (t *Tagger) missing(w Wanted, play int, rep string) bool {
	for _, f := range []mark.Field{"type", "down", "align", "side", "blocker.who", "move", "blocker.set", "battle", "outcome", "blocker.block"} {
		now, _ := t.doc.Look().Value(play, rep, f)
		if want := w.Value(play, rep, f); want != "" && now == "" {
			return true
		}
	}
	return false
}

// others sets what is not as wanted and was not asked for.
func (t *Tagger) others(w Wanted, play int, rep string, fields []mark.Field) error {
	for _, f := range fields {
		now, _ := t.doc.Look().Value(play, rep, f)
		want := w.Value(play, rep, f)
		if now == want {
			continue
		}
		t.count(f, rep)
		if err := t.openField(f); err != nil {
			return err
		}
		if want == "" {
			if err := t.key("-"); err != nil {
				return err
			}
			continue
		}
		if now != "" && f == "move" {
			return fmt.Errorf("play %d: the moves of %s are %q, want %q", play, rep, now, want)
		}
		if err := t.fill(w, play, rep, f); err != nil {
			return err
		}
		if t.desk.Open == f {
			if err := t.key("Enter"); err != nil { // done with a field of several
				return err
			}
		}
	}
	return nil
}

// direct is the fields that have a key of their own.
var direct = map[mark.Field]string{"align": "a", "side": "d", "blocker.who": "q", "blocker.hands": "h", "help": "e", "saw": "v", "note": "w", "point": "m"}

func (t *Tagger) openField(f mark.Field) error {
	if key := direct[f]; key != "" && t.rep != "" {
		return t.key(key)
	}
	if err := t.key(";"); err != nil {
		return err
	}
	return t.choose(string(f), func() bool { return t.desk.Open == f })
}

// fill types what is wanted into the open field.
func (t *Tagger) fill(w Wanted, play int, rep string, f mark.Field) error {
	want := w.Value(play, rep, f)
	if want == "" {
		return t.key("Enter")
	}
	view := t.doc.View(t.desk)
	switch view.Kind {
	case "text":
		return t.text(strings.ReplaceAll(want, "\n", ", "))
	case "number":
		for _, digit := range want {
			if err := t.key(string(digit)); err != nil {
				return err
			}
		}
		if t.desk.Open == f {
			return t.key("Enter")
		}
		return nil
	case "clock":
		for _, digit := range strings.ReplaceAll(want, ":", "") {
			if err := t.key(string(digit)); err != nil {
				return err
			}
		}
		return t.key("Enter")
	}
	items := strings.Split(want, "\n")
	for i, item := range items {
		if i > 0 && f == "move" {
			if err := t.key(">"); err != nil {
				return err
			}
		}
		name, path, _ := strings.Cut(item, "/")
		said := func() bool {
			now, _ := t.doc.Look().Value(play, rep, f)
			list := strings.Split(now, "\n")
			return len(list) > i && list[i] == name
		}
		if err := t.choose(name, said); err != nil {
			return err
		}
		if path != "" {
			if err := t.key("/", path[:1]); err != nil {
				return err
			}
		}
	}
	return nil
}

// choose types the first letters of what is offered until it is taken.
func (t *Tagger) choose(value string, taken func() bool) error {
	typed := value
	for _, c := range t.doc.View(t.desk).Offered {
		if c.Value == value && c.Key != "" {
			typed = c.Key
		} else if c.Value == value {
			typed, _, _ = strings.Cut(strings.TrimPrefix(strings.ToLower(c.Shown), "#"), " ")
		}
	}
	for _, letter := range typed {
		if err := t.key(string(letter)); err != nil {
			return err
		}
		if taken() {
			return nil
		}
		if offered := t.doc.View(t.desk).Offered; len(offered) > 0 && offered[0].Value == value {
			break
		}
	}
	if err := t.key("Enter"); err != nil {
		return err
	}
	if !taken() {
		return fmt.Errorf("%q was not taken: %s %q", value, t.desk.Said, t.desk.Typed)
	}
	return nil
}
