package exchange

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// digest tells whether a rep is as it was when it was written out.
func digest(r *tags.Rep) string {
	h := sha256.New()
	for _, f := range repFields {
		fmt.Fprintf(h, "%s=%q\n", f.key, f.text(r))
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:4])
}

// clearReps takes out of the tag file what the sheet empties, and a list on lines of its own that it
// gives otherwise, so that fillReps finds it absent. Only of a rep that is as it was written out is
// anything taken.
func (m *merger) clearReps(entries []*entry, byNumber map[int]int) error {
	var edits []tags.Edit
	for _, e := range entries {
		i, ok := byNumber[e.number]
		if !ok {
			continue
		}
		for _, said := range e.reps {
			j := m.repOf(i, said.rusher)
			if j < 0 || said.exported != digest(m.game.Plays[i].Reps[j]) {
				continue
			}
			at := tags.Path{"plays", i, "reps", j}
			if n := tags.Child(m.top, at...); n == nil || n.Kind != yaml.MappingNode {
				continue // one line, which fillReps writes anew
			}
			m.keepAResult(said, m.game.Plays[i].Reps[j])
			for _, f := range repFields[1:] {
				v, there := said.values[f.key]
				have := f.text(m.game.Plays[i].Reps[j])
				if !there || have == v.text || have == "" || v.text != "" && !f.list {
					continue
				}
				path := f.mapping(at).To(f.file)
				if v.text != "" {
					if _, err := tags.Splice(m.change.Data, tags.Put(path, f.node(v.text))); err == nil {
						continue // fillReps puts it there, and what is said beside it stays
					}
				}
				edits = append(edits, tags.Remove(path))
				m.change.Filled++
				if v.text == "" {
					m.change.say("play %d, rusher %s: take out %s %s", e.number, m.shown(said.rusher), f.key, short(have))
				} else {
					m.change.say("play %d, rusher %s: %s %s, not %s", e.number, m.shown(said.rusher), f.key, short(v.text), short(have))
				}
				m.replaced[replacedKey{e.number, said.rusher, f.key}] = true
			}
			said.exported = sameAsBefore
		}
	}
	if len(edits) == 0 {
		return nil
	}
	data, err := tags.Splice(m.change.Data, edits...)
	if err != nil {
		return fmt.Errorf("edit %s: %w", m.file, err)
	}
	m.change.Data = data
	game, faults := tags.ParseGame(m.file, data, m.vocabulary)
	if faults.Err() != nil {
		return fmt.Errorf("%s is left as it is, because with the sheet it would have faults: %w", m.file, faults)
	}
	m.game = game
	return m.parse(data)
}

// keepAResult leaves a rep's result as it is where the sheet takes all of it out.
func (m *merger) keepAResult(said *repEntry, rep *tags.Rep) {
	for _, f := range repFields {
		v, there := said.values[f.key]
		if f.result && (!there && f.text(rep) != "" || v.text != "") {
			return
		}
	}
	m.change.Faults.Add(said.pos, "the rep of %s in play %d keeps its battle and outcome: it must have one of them", m.shown(rep.Rusher.ID), rep.Play.Number)
	for _, f := range repFields {
		if f.result {
			delete(said.values, f.key)
		}
	}
}

// sameAsBefore stands for the digest of a rep that was found to be as it was written out.
const sameAsBefore = "same"

// replacedKey names a field of a rep that clearReps took out.
type replacedKey struct {
	play        int
	rusher, key string
}

// repOf is the place of a rusher's rep among those of the i-th play; -1 for none.
func (m *merger) repOf(i int, rusher string) int {
	return slices.IndexFunc(m.game.Plays[i].Reps, func(r *tags.Rep) bool { return r.Rusher != nil && r.Rusher.ID == rusher })
}

// shown is a rusher as a room names him.
func (m *merger) shown(id string) string {
	if p, ok := m.game.People[id]; ok && p.Jersey != "" {
		return p.Jersey
	}
	return id
}

// fillReps brings the reps of a row into the i-th play.
func (m *merger) fillReps(e *entry, i int) {
	var added []*yaml.Node
	for _, said := range e.reps {
		if j := m.repOf(i, said.rusher); j >= 0 {
			m.fillRep(e, said, i, j)
			continue
		}
		if n := m.newRep(e, said); n != nil {
			added = append(added, n)
			m.change.Filled++
		}
	}
	if len(added) == 0 {
		return
	}
	at := tags.Path{"plays", i}
	if reps := at.To("reps"); m.written(reps) {
		for _, n := range added {
			m.edits = append(m.edits, tags.Append(reps, n))
		}
		return
	}
	m.edits = append(m.edits, tags.Insert(at, "reps", &yaml.Node{Kind: yaml.SequenceNode, Content: added}, tags.PlayKeysBefore("reps")...))
}

// newRep is a rep that the tag file does not have; nil where the sheet says too little of it.
func (m *merger) newRep(e *entry, said *repEntry) *yaml.Node {
	if len(said.values) == 0 {
		return nil
	}
	if !said.result() {
		m.change.Faults.Add(said.pos, "the rep of %s in play %d is left out: nothing says how it ended (battle, outcome or did)", m.shown(said.rusher), e.number)
		return nil
	}
	m.added = append(m.added, said)
	m.change.say("play %d: add rep of %s: %s", e.number, m.shown(said.rusher), strings.Join(sayAll(said.inOrder()), ", "))
	return repNode(said.rusher, said.inOrder())
}

// warnAssumed warns where no new rep says what the tag file lets stand for reps that do not say it:
// whoever wrote the sheet may not have looked.
func (m *merger) warnAssumed() {
	for _, f := range repFields {
		stands := m.game.Assume[f.key]
		if stands == "" || len(m.added) == 0 || slices.ContainsFunc(m.added, func(e *repEntry) bool { return e.values[f.key].text != "" }) {
			continue
		}
		m.change.Faults.Warn(m.added[0].pos, "no rep that comes in says %s, and the tag file lets %s stand where nothing is tagged: so it stands for %s", f.key, stands, tags.Count(len(m.added), "new rep"))
	}
}

// repNode is a rep as a tag file writes it, a line a key.
func repNode(rusher string, said []value) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	put := func(n *yaml.Node, key string, value *yaml.Node) {
		n.Content = append(n.Content, tags.Scalar(key), value)
	}
	put(n, keyRusher, tags.Scalar(rusher))
	within := map[string]*yaml.Node{}
	for _, v := range said {
		f, _ := repFieldOf(v.key)
		if v.text == "" || v.key == keyRusher {
			continue
		}
		into := n
		if f.under != "" {
			if within[f.under] == nil {
				within[f.under] = &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
				put(n, f.under, within[f.under])
			}
			into = within[f.under]
		}
		put(into, f.file, f.node(v.text))
	}
	return n
}

// fillRep fills the j-th rep of the i-th play, and changes it where it is as it was written
// out; else it keeps what the tag file has, and says where the sheet differs.
func (m *merger) fillRep(e *entry, said *repEntry, i, j int) {
	rep := m.game.Plays[i].Reps[j]
	at := tags.Path{"plays", i, "reps", j}
	same := said.exported != "" && (said.exported == sameAsBefore || said.exported == digest(rep))
	line := tags.Child(m.top, at...)
	oneLine := line != nil && line.Kind == yaml.ScalarNode
	var changed []value
	for _, f := range repFields[1:] {
		v, there := said.values[f.key]
		have := f.text(rep)
		switch {
		case !there || v.text == have, f.key == "job" && v.text == rep.Job:
			continue
		case have == "" || same:
			if v.text == "" && have == "" {
				continue
			}
		default:
			if v.text != "" {
				m.change.Differs++
				m.change.say("play %d, rusher %s: keep %s %s; the sheet says %s (%s)", e.number, m.shown(said.rusher), f.key, short(have), short(v.text), v.pos)
			}
			continue
		}
		place := f.mapping(at).To(f.file)
		if oneLine {
			place = at
		}
		if m.written(place) {
			if err := tags.Replaceable(m.change.Data, tags.Child(m.top, place...)); err != nil {
				m.change.Faults.Add(v.pos, "the %s of %s in play %d stays as it is: %s: %v", f.key, m.shown(said.rusher), e.number, m.file, err)
				continue
			}
		}
		changed = append(changed, v)
		switch {
		case m.replaced[replacedKey{e.number, said.rusher, f.key}]: // said when it was taken out
		case have == "":
			m.change.Filled++
			m.change.say("play %d, rusher %s: add %s %s", e.number, m.shown(said.rusher), f.key, short(v.text))
		default:
			m.change.Filled++
			m.change.say("play %d, rusher %s: %s %s, not %s", e.number, m.shown(said.rusher), f.key, short(v.text), short(have))
		}
		if !oneLine {
			m.editRep(at, f, v.text)
		}
	}
	if oneLine && len(changed) > 0 {
		m.rewrite(at, rep, changed)
	}
}

// editRep sets one field of a rep that has a key a line.
func (m *merger) editRep(at tags.Path, f repField, text string) {
	within := f.mapping(at)
	switch path := within.To(f.file); {
	case m.written(path):
		m.edits = append(m.edits, tags.Put(path, f.node(text)))
	case f.under != "" && !m.written(within) && m.begun[within.String()] == nil:
		n := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{tags.Scalar(f.file), f.node(text)}}
		m.begun[within.String()] = n
		m.later = append(m.later, func() tags.Edit { return tags.Insert(at, f.under, n, repKeysBefore(f)...) })
	case f.under != "" && !m.written(within):
		n := m.begun[within.String()]
		n.Content = append(n.Content, tags.Scalar(f.file), f.node(text))
	default:
		m.edits = append(m.edits, tags.Insert(within, f.file, f.node(text), repKeysBefore(f)...))
	}
}

// repKeysBefore is the keys that stand before a field's, or before its mapping's, in the
// mapping where it is inserted.
func repKeysBefore(f repField) []string {
	keys := []string{keyRusher}
	for _, o := range repFields[1:] {
		switch {
		case o.key == f.key:
			return keys
		case o.under == "":
			keys = append(keys, o.file)
		case o.under == f.under:
			keys = append(keys, o.file)
		default:
			keys = append(keys, o.under)
		}
	}
	return keys
}

// rewrite writes a rep of one line as a mapping, with what changed.
func (m *merger) rewrite(at tags.Path, rep *tags.Rep, changed []value) {
	e := &repEntry{values: map[string]value{}}
	for _, f := range repFields[1:] {
		if text := f.text(rep); text != "" {
			e.values[f.key] = value{key: f.key, text: text}
		}
	}
	for _, v := range changed {
		e.values[v.key] = v
	}
	n := repNode(rep.Rusher.ID, e.inOrder())
	n.Style = yaml.FlowStyle
	m.edits = append(m.edits, tags.ReplaceValue(at, n))
}
