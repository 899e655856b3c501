package tags

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// extend lays a staff's files over v. What two of them say of one thing must agree, so
// that the order of files means nothing.
func (v *Vocabulary) extend(files []*vocabularyFile) Faults {
	e := extension{v: v, said: map[string]saying{}}
	for _, f := range files {
		if f.limit != nil && e.say("limit", f.limit.Pos, Time(f.limit.N).String()) {
			v.Limit = Time(f.limit.N)
		}
		if f.ballOut != nil && e.say("ball-out", f.ballOut.Pos, Time(f.ballOut.N).String()) {
			v.BallOut = Time(f.ballOut.N)
		}
		if f.distances != nil && e.say("distances", f.distances.Pos, fmt.Sprint(f.distances.said)) {
			v.lay(f.distances)
		}
		for _, key := range slices.Sorted(maps.Keys(f.lists)) {
			base, ok := v.Lists[key]
			if !ok {
				e.unknownList(f.lists[key].Pos, key)
				continue
			}
			for _, w := range f.lists[key].Words {
				e.word(base, w)
			}
		}
		e.laySame(f)
		for _, name := range slices.Sorted(maps.Keys(f.choices)) {
			if c := f.choices[name]; e.say("choice "+name, c.Pos, c.String()) {
				v.Choices[name] = c
			}
		}
	}
	for _, f := range files {
		for _, key := range slices.Sorted(maps.Keys(f.orders)) {
			if o := f.orders[key]; !e.say("order of "+key, o.Pos, o.String()) {
				delete(f.orders, key)
			}
		}
		e.faults = append(e.faults, v.reorder(f)...)
		// What a staff's table leaves out earns nothing: it was added up with no other in mind.
		if f.points.Line > 0 && e.say("points", f.points, pricesText(f.prices)) {
			v.prices = f.prices
		}
		if f.caution.Text != "" && e.say("caution", f.caution.Pos, f.caution.Text) {
			v.Caution = f.caution.Text
		}
	}
	return append(e.faults, v.checkWords()...)
}

// extension is a vocabulary while a staff's files are laid over it.
type extension struct {
	v      *Vocabulary
	said   map[string]saying // by what it is of
	faults Faults
}

// saying is what a staff's file says of a thing, and where.
type saying struct {
	pos  Pos
	text string
}

// say notes what a file says of a thing; it reports false, and a fault, where another
// has said otherwise.
func (e *extension) say(of string, pos Pos, text string) bool {
	if first, ok := e.said[of]; ok && first.text != text {
		e.faults.Add(pos, "%s is %q here, but %q at %s", of, text, first.text, first.pos)
		return false
	}
	e.said[of] = saying{pos, text}
	return true
}

func (e *extension) unknownList(pos Pos, key string) {
	e.faults.Add(pos, "unknown list %q in words", key)
	e.faults.hint(DidYouMean(key, slices.Sorted(maps.Keys(e.v.Lists))))
}

// word adds w to a list, or lays it over the words it names: what it leaves out stays,
// and where it calls a word that is there by another name, that is its name from now on.
func (e *extension) word(l *List, w Word) {
	var hits []int // the word of w's own name first
	for _, name := range w.names() {
		if i, ok := l.index[name]; ok && !slices.Contains(hits, i) {
			hits = append(hits, i)
		}
	}
	if len(hits) == 0 {
		w.first = w.Name
		e.agrees(l.Key, w.first, w)
		l.Words = append(l.Words, w)
		l.reindex()
		return
	}
	was := l.Words[hits[0]]
	if keepsName(l.Key) {
		if was.Name != w.Name {
			e.faults.Add(w.Pos, "%s %s keeps its name, because the program counts by it", l.Key, was.Name)
			e.faults.hint(fmt.Sprintf("want %s: {also: [%s]}, and a label for how it is shown", was.Name, w.Name))
			return
		}
		if len(hits) > 1 {
			e.faults.Add(w.Pos, "%s %s stands by itself, because the program counts by it; it is no other name for %s", l.Key, l.Words[hits[1]].Name, w.Name)
			return
		}
	}
	now := w
	now.Also, now.first = nil, was.first
	also := slices.Clone(w.Also)
	for _, i := range hits {
		if !e.agrees(l.Key, l.Words[i].first, w) {
			return
		}
		old := l.Words[i]
		also = append(also, old.names()...)
		now.Family, now.Path, now.Label = cmp.Or(now.Family, old.Family), cmp.Or(now.Path, old.Path), cmp.Or(now.Label, old.Label)
		now.What = cmp.Or(now.What, old.What)
		now.Fix = cmp.Or(now.Fix, old.Fix)
		if now.Drills == nil {
			now.Drills, now.Common = old.Drills, old.Common
		}
		for _, f := range WordFlags {
			*f.at(&now) = cmp.Or(*f.at(&now), *f.at(&old))
		}
	}
	for _, name := range also {
		if name != now.Name && !slices.Contains(now.Also, name) {
			now.Also = append(now.Also, name)
		}
	}
	slices.Sort(hits)
	l.Words[hits[0]] = now
	for _, i := range slices.Backward(hits[1:]) {
		l.Words = slices.Delete(l.Words, i, i+1)
	}
	l.reindex()
}

// agrees notes what w says of the word once called first, and reports whether no other
// file says otherwise.
func (e *extension) agrees(key, first string, w Word) bool {
	ok := true
	type part struct{ what, text string }
	parts := []part{
		{"name", w.Name},
		{"family", w.Family},
		{"path", w.Path},
		{"label", w.Label},
		{"text", w.What},
		{"fix", w.Fix},
		{"drills", strings.Join(w.Drills, "; ")},
	}
	for _, f := range WordFlags {
		parts = append(parts, part{f.Name, *f.at(&w)})
	}
	for _, part := range parts {
		if part.text != "" && ok {
			ok = e.say(fmt.Sprintf("the %s of %s %s", part.what, key, first), w.Pos, part.text)
		}
	}
	return ok
}

// reorder puts the words that the file ranks before the others of their lists.
func (v *Vocabulary) reorder(f *vocabularyFile) Faults {
	var fs Faults
	for _, key := range slices.Sorted(maps.Keys(f.orders)) {
		o := f.orders[key]
		l, ok := v.Lists[key]
		if !ok {
			fs.Add(o.Pos, "unknown list %q in order", key)
			fs.hint(DidYouMean(key, slices.Sorted(maps.Keys(v.Lists))))
			continue
		}
		var ranked []Word
		for _, t := range o.words {
			w, ok := l.Find(t.Text)
			switch {
			case !ok:
				fs.Add(t.Pos, "unknown %s %q in its order", key, t.Text)
				fs.hint(DidYouMean(t.Text, l.Names()))
			case slices.ContainsFunc(ranked, func(r Word) bool { return r.Name == w.Name }):
				fs.Add(t.Pos, "%s %q stands twice in its order", key, t.Text)
			default:
				ranked = append(ranked, w)
			}
		}
		for _, w := range l.Words {
			if !slices.ContainsFunc(ranked, func(r Word) bool { return r.Name == w.Name }) {
				ranked = append(ranked, w)
			}
		}
		l.Words = ranked
		l.reindex()
	}
	return fs
}
