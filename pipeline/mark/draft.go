package mark

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Draft is a play or rep that is begun and not in the file yet, because the file could not
// hold it without a fault: a play wants an in and an out, a rep a battle, an outcome or what
// he did. Of a play that is in the file a draft holds the times of a further angle, until it
// has an in and an out there.
type Draft struct {
	Play   int     `json:"play"`
	Rep    string  `json:"rep,omitempty"` // empty for a play
	Values []Value `json:"values,omitempty"`
	Kept   *kept   `json:"kept,omitempty"` // of a rep that was in the file
}

// Value is what d says in a field.
func (d Draft) Value(f Field) string {
	for _, v := range d.Values {
		if v.Field == f {
			return v.Text
		}
	}
	return ""
}

// with is d with a field set.
func (d Draft) with(f Field, text string) Draft {
	values := slices.DeleteFunc(slices.Clone(d.Values), func(v Value) bool { return v.Field == f })
	if text != "" {
		values = append(values, Value{f, text})
	}
	d.Values = values
	return d
}

// whole reports whether the file can hold d.
func (d Draft) whole() bool {
	if d.Rep != "" {
		return d.Value("battle") != "" || d.Value("outcome") != "" || d.Value("did") != ""
	}
	for _, v := range d.Values {
		if angle, ok := strings.CutSuffix(string(v.Field), ".in"); ok && d.Value(Field(angle+".out")) != "" {
			return true
		}
	}
	return false
}

// join puts what is begun of a rep into the file, where somebody else brought that rep meanwhile, as
// far as the file does not say otherwise.
func (a *applier) join(play int, rep string) {
	d, begun := a.draft(play, rep)
	if rep == "" || !begun || !a.inFile(play, rep) {
		return
	}
	for _, v := range d.Values {
		before := a.text
		if now, _ := before.value(play, rep, v.Field); now != "" {
			continue
		}
		e := Edit{Verb: Set, Play: play, Rep: rep, Field: v.Field, Value: v.Text}
		tree, err := a.put(e, a.vocabulary)
		if err == nil {
			a.reread(tree)
			err = a.sound(before)
		}
		if err != nil {
			a.text = before
			continue
		}
		a.undo = append(a.undo, Edit{Verb: Set, Play: play, Rep: rep, Field: v.Field, Was: v.Text})
	}
	a.drafts = slices.DeleteFunc(a.drafts, func(o Draft) bool { return o.Play == play && o.Rep == rep })
}

func (a *applier) setDraft(d Draft, e Edit) error {
	i := slices.IndexFunc(a.drafts, func(o Draft) bool { return o.Play == d.Play && o.Rep == d.Rep })
	next := d.with(e.Field, e.Value)
	back := e
	back.Was, back.Value = e.Value, e.Was
	if !next.whole() {
		if err := a.tried(next); err != nil {
			return err
		}
		a.drafts[i] = next
		a.undo = append(a.undo, back)
		return nil
	}
	a.drafts = slices.Delete(a.drafts, i, i+1)
	if !a.restored(next) {
		tree, err := a.text.add(Edit{Verb: Add, Play: d.Play, Rep: d.Rep, Values: next.Values})
		if err != nil {
			return fmt.Errorf("%s: %w", e, err)
		}
		a.reread(tree)
	}
	a.undo = append(a.undo, Edit{Verb: Add, Play: d.Play, Rep: d.Rep, Values: d.Values}, Edit{Verb: Remove, Play: d.Play, Rep: d.Rep})
	return nil
}

// tried fails where a rep that is begun would be a fault in the file, so that this is said now and
// not when the rep is whole.
func (a *applier) tried(d Draft) error {
	battles := a.vocabulary.List("battle").Words
	if d.Rep == "" || len(d.Values) == 0 || len(battles) == 0 {
		return nil
	}
	tree, err := a.text.add(Edit{Verb: Add, Play: d.Play, Rep: d.Rep, Values: d.with("battle", battles[0].Name).Values})
	if err != nil {
		return err
	}
	return a.withTree(tree).sound(a.text)
}

// demote takes a rep that loses its only result out of the file and makes a draft of it.
func (a *applier) demote(r *tags.Rep, e Edit) error {
	d := Draft{Play: e.Play, Rep: e.Rep, Values: valuesOf(r)}.with(e.Field, "").with("rusher", "")
	tree, was, err := a.without(e)
	if err != nil {
		return fmt.Errorf("%s: %w", e, err)
	}
	d.Kept, tree = a.kept(e, tree)
	a.reread(tree)
	a.drafts = append(a.drafts, d)
	a.undo = append(a.undo, Edit{Verb: Add, Play: e.Play, Rep: e.Rep, Text: was}, Edit{Verb: Remove, Play: e.Play, Rep: e.Rep})
	return nil
}
