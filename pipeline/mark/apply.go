package mark

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// state is the file and what is begun beside it.
type state struct {
	*text
	drafts []Draft
}

func (s state) draft(play int, rep string) (Draft, bool) {
	i := slices.IndexFunc(s.drafts, func(d Draft) bool { return d.Play == play && d.Rep == rep })
	if i < 0 {
		return Draft{}, false
	}
	return s.drafts[i], true
}

// value is what a field holds, in the file or in a draft. Where a rep that is begun came into the file
// meanwhile, the file goes first.
func (s state) value(play int, rep string, f Field) (string, bool) {
	d, begun := s.draft(play, rep)
	text, there := s.text.value(play, rep, f)
	if rep != "" && text != "" {
		return text, there
	}
	if begun && (!there || d.Value(f) != "") {
		return d.Value(f), true
	}
	return text, there
}

// applier makes edits of a state.
type applier struct {
	state
	vocabulary *tags.Vocabulary
	films      films
	undo       []Edit // what takes the edits back, the last first
}

// apply makes edits of s. It returns the new state, and the edits that undo them.
func (s state) apply(edits []Edit, v *tags.Vocabulary, f films) (state, []Edit, error) {
	a := &applier{state: s, vocabulary: v, films: f}
	a.drafts = slices.Clone(s.drafts)
	for _, e := range edits {
		if err := a.edit(e); err != nil {
			return s, nil, err
		}
	}
	if err := a.sound(s.text); err != nil {
		return s, nil, err
	}
	slices.Reverse(a.undo)
	return a.state, a.undo, nil
}

// sound fails where the edits brought a fault that the file did not have.
func (a *applier) sound(before *text) error {
	if a.text == before {
		return nil
	}
	had := map[string]int{}
	for _, f := range before.faults {
		if !f.Warning {
			had[f.What]++
		}
	}
	for _, f := range a.faults {
		if f.Warning {
			continue
		}
		if had[f.What]--; had[f.What] < 0 {
			said := f.What
			if f.Hint != "" {
				said += "; " + f.Hint
			}
			return errors.New(said)
		}
	}
	return nil
}

// reread parses the game anew from tree, in place of the file's text.
func (a *applier) reread(tree tags.Tree) {
	t := &text{Tree: tree, file: a.file}
	t.game, t.faults = tags.ReadGame(a.file, tree, a.vocabulary)
	t.hold(a.films)
	a.text = t
}

func (a *applier) edit(e Edit) error {
	switch e.Verb {
	case Set:
		return a.set(e)
	case Add:
		return a.add(e)
	case Remove:
		return a.remove(e)
	}
	return fmt.Errorf("there is no edit %q", e.Verb)
}

func (a *applier) set(e Edit) error {
	if err := knownField(a.game, e.Rep, e.Field); err != nil {
		return err
	}
	if e.Value = canonical(a.vocabulary, e); strings.ContainsRune(e.Value, 0) {
		return errors.New("the text holds a NUL character")
	}
	if p, _, _ := a.play(e.Play); p != nil && e.Field == "job" && e.Value == p.UsualJob() {
		e.Value = ""
	}
	a.join(e.Play, e.Rep)
	now, there := a.value(e.Play, e.Rep, e.Field)
	switch {
	case !there:
		return &ConflictError{Edit: e}
	case now == e.Value:
		return nil
	case now != e.Was:
		return &ConflictError{Edit: e, Now: now}
	}
	if angle := a.begunAngle(e); angle != "" {
		return a.setAngle(angle, e)
	}
	if d, ok := a.draft(e.Play, e.Rep); ok && !a.inFile(e.Play, e.Rep) {
		return a.setDraft(d, e)
	}
	if e.Rep != "" && e.Value == "" {
		if r, _, _ := a.rep(e.Play, e.Rep); !(Draft{Rep: e.Rep, Values: valuesOf(r)}).with(e.Field, "").whole() {
			return a.demote(r, e)
		}
	}
	back := e
	back.Was, back.Value = e.Value, e.Was
	wanted := a.saidOf(e.Play)
	tree, err := a.put(e, a.vocabulary)
	if err != nil {
		return fmt.Errorf("%s: %w", e, err)
	}
	a.reread(tree)
	if err := a.asMeant(e, wanted); err != nil {
		return err
	}
	a.undo = append(a.undo, back)
	return nil
}

// saidOf is all that the file says of a play. Edits of a play are checked against it; [tags.Splice]
// guarantees that other plays do not change.
func (a *applier) saidOf(number int) map[string]string {
	p, _, _ := a.play(number)
	if p == nil {
		return nil
	}
	return said(a.game, p)
}

// asMeant fails where the file does not say e.Value, or no longer says of the rest of the play what
// it said before, which is wanted.
func (a *applier) asMeant(e Edit, wanted map[string]string) error {
	if now, _ := a.text.value(e.Play, e.Rep, e.Field); now != e.Value {
		for _, f := range a.faults { // which says why, where the value was not taken
			if !f.Warning && strings.Contains(f.What, strings.Split(e.Value, listSign)[0]) {
				return errors.New(f.What)
			}
		}
		return fmt.Errorf("%s: the file would say %q", e, now)
	}
	got := a.saidOf(e.Play)
	key := fmt.Sprintf("%d %s", e.Play, e.Field)
	if e.Rep != "" {
		key = fmt.Sprintf("%d %s %s", e.Play, e.Rep, e.Field)
	}
	delete(wanted, key)
	delete(got, key)
	snap := fmt.Sprintf("%d marks.snap", e.Play) // which may stand for that of the first angle
	if strings.HasSuffix(string(e.Field), ".snap") {
		delete(wanted, snap)
		delete(got, snap)
	}
	if len(a.game.Films) > 0 && strings.HasPrefix(string(e.Field), "angles."+a.game.Films[0].Angle) {
		return nil // a time of the first angle may stand on the play itself
	}
	for k, v := range wanted {
		if got[k] != v {
			return fmt.Errorf("%s: with it the file would say something else of %s", e, k)
		}
	}
	if len(got) != len(wanted) {
		return fmt.Errorf("%s: with it the file would say more than that", e)
	}
	return nil
}

func (a *applier) add(e Edit) error {
	if _, there := a.value(e.Play, e.Rep, ""); there {
		return fmt.Errorf("%s is there already", e.where())
	}
	for i, v := range e.Values {
		if err := knownField(a.game, e.Rep, v.Field); err != nil {
			return err
		}
		e.Values[i].Text = canonical(a.vocabulary, Edit{Rep: e.Rep, Field: v.Field, Value: v.Text})
	}
	if e.Play < 1 || e.Play > tags.MaxPlays {
		return fmt.Errorf("want the number of a play from 1 to %d", tags.MaxPlays)
	}
	if e.Rep != "" {
		if _, ok := a.game.People[e.Rep]; !ok {
			return fmt.Errorf("%s is nobody among the game's people", e.Rep)
		}
		if p, _, _ := a.play(e.Play); p == nil {
			return fmt.Errorf("play %d is not in the file yet: mark where it begins and ends first", e.Play)
		}
	}
	d := Draft{Play: e.Play, Rep: e.Rep, Values: e.Values}
	back := Edit{Verb: Remove, Play: e.Play, Rep: e.Rep}
	if e.Text == "" && !d.whole() {
		if err := a.tried(d); err != nil {
			return err
		}
		a.drafts = append(a.drafts, d)
		a.undo = append(a.undo, back)
		return nil
	}
	tree, err := a.text.add(e)
	if err != nil {
		return fmt.Errorf("%s: %w", e, err)
	}
	a.reread(tree)
	a.undo = append(a.undo, back)
	return nil
}

func (a *applier) remove(e Edit) error {
	there := a.inFile(e.Play, e.Rep)
	gone := 0
	if d, begun := a.draft(e.Play, e.Rep); begun && !there {
		a.leaveSaid(d)
	}
	a.drafts = slices.DeleteFunc(a.drafts, func(d Draft) bool {
		if d.Play != e.Play || e.Rep != "" && d.Rep != e.Rep {
			return false
		}
		gone++
		if d.Rep == "" && there {
			for _, v := range d.Values {
				a.undo = append(a.undo, Edit{Verb: Set, Play: d.Play, Field: v.Field, Value: v.Text})
			}
			return true
		}
		a.undo = append(a.undo, Edit{Verb: Add, Play: d.Play, Rep: d.Rep, Values: d.Values})
		return true
	})
	if !there && gone > 0 {
		return nil
	}
	tree, was, err := a.without(e)
	if err != nil {
		return fmt.Errorf("%s: %w", e, err)
	}
	a.reread(tree)
	a.undo = append(a.undo, Edit{Verb: Add, Play: e.Play, Rep: e.Rep, Text: was})
	return nil
}

// inFile reports whether the file has a play or rep.
func (a *applier) inFile(play int, rep string) bool {
	_, there := a.text.value(play, rep, "")
	return there
}

// begunAngle returns the angle of a time that the file cannot hold yet: e sets in, out or snap on
// an angle where a play of the file has neither in nor out. Otherwise it is empty.
func (a *applier) begunAngle(e Edit) string {
	keys := e.Field.Keys()
	p, n, _ := a.play(e.Play)
	if e.Rep != "" || p == nil || keys[0] != "angles" || len(keys) < 3 {
		return ""
	}
	if a.way(n, e)[0] != "angles" {
		return ""
	}
	for _, w := range p.Written() {
		if w.Angle == keys[1] && (w.In != nil || w.Out != nil || w.File != "") {
			return ""
		}
	}
	return keys[1]
}

// setAngle keeps a time of an angle that the file does not know the play on, and puts all of
// its times into the file once in and out are there.
func (a *applier) setAngle(angle string, e Edit) error {
	d, begun := a.draft(e.Play, "")
	if !begun {
		d = Draft{Play: e.Play}
	}
	next := d.with(e.Field, e.Value)
	a.drafts = slices.DeleteFunc(a.drafts, func(o Draft) bool { return o.Play == e.Play && o.Rep == "" })
	of := func(key string) Field { return Field("angles." + angle + "." + key) }
	if next.Value(of("in")) == "" || next.Value(of("out")) == "" {
		if len(next.Values) > 0 {
			a.drafts = append(a.drafts, next)
		}
		back := e
		back.Was, back.Value = e.Value, e.Was
		a.undo = append(a.undo, back)
		return nil
	}
	for _, key := range angleKeys[1:] { // what takes it back comes last here and is made first
		if was := d.Value(of(key)); was != "" {
			a.undo = append(a.undo, Edit{Verb: Set, Play: e.Play, Field: of(key), Value: was})
		}
	}
	for _, key := range angleKeys[1:] {
		text := next.Value(of(key))
		if text == "" {
			continue
		}
		tree, err := a.put(Edit{Verb: Set, Play: e.Play, Field: of(key), Value: text}, a.vocabulary)
		if err != nil {
			return fmt.Errorf("%s: %w", e, err)
		}
		a.reread(tree)
		a.undo = append(a.undo, Edit{Verb: Set, Play: e.Play, Field: of(key), Was: text})
		next = next.with(of(key), "")
	}
	if len(next.Values) > 0 {
		a.drafts = append(a.drafts, next)
	}
	return nil
}

// canonical is the value of an edit in the vocabulary's own words, and instants as they are
// written; what cannot be read stays, for the check to say what is wrong with it.
func canonical(v *tags.Vocabulary, e Edit) string {
	if e.Value == "" || isText(e.Rep, e.Field) {
		return e.Value
	}
	keys := e.Field.Keys()
	if keys[0] == "marks" || keys[0] == "angles" || e.Field == "in" || e.Field == "out" {
		if at, err := tags.ParseInstant(e.Value); err == nil {
			return at.String()
		}
		return e.Value
	}
	list := ""
	if rf, ok := repField[e.Field]; ok && e.Rep != "" {
		list = rf.WordList()
	} else if pf, ok := playField[e.Field]; ok && e.Rep == "" {
		list = pf.WordList()
	}
	items := strings.Split(e.Value, listSign)
	for i, item := range items {
		items[i] = strings.TrimSpace(item)
		switch {
		case e.Field == "move" && e.Rep != "":
			items[i] = canonicalMove(v, items[i])
		case list != "":
			if w, ok := v.List(list).Read(items[i]); ok {
				items[i] = w.Name
			}
		}
	}
	return listed(items...)
}

// canonicalMove is one move with its path only where that is not the usual one.
func canonicalMove(v *tags.Vocabulary, step string) string {
	name, path, written := strings.Cut(step, "/")
	w, ok := v.List("move").Read(name)
	if !ok {
		return step
	}
	if p, ok := v.List("path").Read(path); ok && written && p.Name != w.Path {
		return w.Name + "/" + p.Name
	}
	return w.Name
}
