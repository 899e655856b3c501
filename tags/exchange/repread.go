package exchange

import (
	"slices"
	"strings"

	"trenchcut/tags"
)

// repEntry is what a row says of one rep.
type repEntry struct {
	rusher   string // id
	pos      tags.Pos
	values   map[string]value // by key of repFields
	exported string           // the digest under which it was written out; empty for none
	unread   map[string]bool  // keys of cells that cannot be read
}

// repsOfRow is the reps of a row while it is read, in the order of their columns.
type repsOfRow struct {
	reps []*repEntry
	of   map[string]*repEntry // by rusher as the heading has him; empty is the rusher column's
}

// isOfRep reports whether a column holds something of a rep.
func isOfRep(c column) bool {
	_, ok := repFieldOf(c.key)
	return ok || slices.Contains([]string{keyRep, keyWords, keyExported}, c.key)
}

// rep is the rep of a column's rusher.
func (rs *repsOfRow) rep(c column, pos tags.Pos) *repEntry {
	if rs.of == nil {
		rs.of = map[string]*repEntry{}
	}
	e := rs.of[c.rusher]
	if e == nil {
		e = &repEntry{pos: pos, values: map[string]value{}, unread: map[string]bool{}}
		rs.of[c.rusher] = e
		rs.reps = append(rs.reps, e)
	}
	return e
}

// passOver notes that a cell holds something that cannot be read, so that it does not count as
// empty.
func (rs *repsOfRow) passOver(c column, pos tags.Pos) {
	if isOfRep(c) {
		rs.rep(c, pos).unread[c.key] = true
	}
}

func (rs *repsOfRow) read(r *reader, c column, cell Cell, said *ColumnRead, pos tags.Pos) {
	e := rs.rep(c, pos)
	refuse := func(want string) {
		said.Refused++
		e.unread[c.key] = true
		if want != "" && r.again(value{key: said.Heading, text: sameWord(cell.Text)}, pos, "unknown %s %q", said.Heading, short(cell.Text)) {
			r.refused[len(r.refused)-1].Hint = want
		}
	}
	if c.rusher != "" && e.rusher == "" {
		id, want := r.person(c.rusher, true)
		if want != "" {
			said.Refused++
			addHint(&r.refused, pos, want, "the column's rusher %s is not known", c.rusher)
			return
		}
		e.rusher = id
	}
	if c.key == "blocker" && flatten(plain(cell)) == "unblocked" {
		said.read(cell.Text, "unblocked: yes")
		c.key, cell = "unblocked", Cell{Text: "yes"}
	}
	switch c.key {
	case keyExported:
		e.exported = strings.TrimPrefix(cell.Text, "x") // which keeps it text to a spreadsheet
	case keyRep, keyWords:
		if want := e.words(r, plain(cell), said, pos); want != "" {
			refuse(want)
		}
	default:
		f, _ := repFieldOf(c.key)
		text, want := f.read(r, cell)
		if want != "" {
			refuse(want)
			return
		}
		if c.key == keyRusher {
			e.rusher, e.pos = text, pos
			return
		}
		if f.field != nil && f.field.WordList() != "" && flatten(plain(cell)) != flatten(text) {
			said.read(plain(cell), text)
		}
		if before, there := e.values[c.key]; there && c.key == "move" {
			text = before.text + ">" + text // of a column before
		}
		e.values[c.key] = value{key: c.key, text: text, pos: pos}
	}
}

// words reads words of any list of the one-line form of a rep, in any order: one that is made
// of several, such as "no factor", is tried before its parts.
func (e *repEntry) words(r *reader, text string, said *ColumnRead, pos tags.Pos) (want string) {
	parts := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' || c == ';' })
	for len(parts) > 0 {
		n := min(len(parts), 3)
		for ; n > 0; n-- {
			if e.word(r, strings.Join(parts[:n], " "), said, pos) {
				break
			}
		}
		if n == 0 {
			return r.vocabulary.DidYouMean("outcome", hyphened(parts[0]))
		}
		parts = parts[n:]
	}
	return ""
}

// word takes a word as the value of the first field whose list has it.
func (e *repEntry) word(r *reader, text string, said *ColumnRead, pos tags.Pos) bool {
	for _, f := range repFields {
		if f.field == nil || !f.field.OneLine {
			continue
		}
		w, ok := wordOf(r.vocabulary.List(f.field.WordList()), text)
		if f.result && !ok {
			w, ok = r.word(f.key, f.field.WordList(), text)
		}
		old, there := e.values[f.key]
		if !ok || there && !f.list {
			continue
		}
		if flatten(text) != flatten(w.Name) {
			said.read(text, w.Name)
		}
		if there {
			w.Name = old.text + ", " + w.Name
		}
		e.values[f.key] = value{key: f.key, text: w.Name, pos: pos}
		return true
	}
	if moves, want := r.readMoves(Cell{Text: text}); want == "" && moves != "" && e.values["move"].text == "" {
		e.values["move"] = value{key: "move", text: moves, pos: pos}
		return true
	}
	return false
}

// done is the reps of the row that say anything. One without a rusher is refused. Of one that
// was written out, a cell with nothing in it says that there is nothing.
func (rs *repsOfRow) done(r *reader, columns []column) []*repEntry {
	for _, e := range rs.reps {
		if e.exported == "" {
			continue
		}
		for _, c := range columns {
			f, ok := repFieldOf(c.key)
			if _, said := e.values[c.key]; ok && !said && c.rusher == "" && !e.unread[c.key] && f.key != keyRusher {
				e.values[c.key] = value{key: c.key, pos: e.pos}
			}
		}
	}
	return slices.DeleteFunc(rs.reps, func(e *repEntry) bool {
		if e.rusher == "" && len(e.values) > 0 && !e.unread[keyRusher] {
			r.refused.Add(e.pos, "the row says something of a rep and names no rusher")
		}
		return e.rusher == ""
	})
}

// joinReps adds to first the reps of another row of the same play.
func (r *reader) joinReps(first, e *entry) {
	for _, rep := range e.reps {
		if i := slices.IndexFunc(first.reps, func(o *repEntry) bool { return o.rusher == rep.rusher }); i >= 0 {
			r.refused.Add(rep.pos, "play %d has a rep of %s in row %d too", e.number, rep.rusher, first.reps[i].pos.Line)
			continue
		}
		first.reps = append(first.reps, rep)
	}
	r.join(first, &entry{number: e.number, pos: e.pos, values: e.values, extra: e.extra})
}

// result reports whether a rep says how the rush ended.
func (e *repEntry) result() bool {
	return slices.ContainsFunc(repFields, func(f repField) bool { return f.result && e.values[f.key].text != "" })
}

// inOrder is what a rep says, in the order of a tag file.
func (e *repEntry) inOrder() []value {
	var said []value
	for _, f := range repFields {
		if v, ok := e.values[f.key]; ok && v.text != "" {
			said = append(said, v)
		}
	}
	return said
}
