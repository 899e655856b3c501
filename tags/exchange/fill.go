package exchange

import (
	"path/filepath"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// fill adds to the i-th play of the tag file what it does not say.
func (m *merger) fill(e *entry, i int) {
	p := m.game.Plays[i]
	at := tags.Path{"plays", i}
	for _, f := range fields[1:] {
		if v, ok := e.values[f.FileKey()]; ok {
			m.set(p, at, v, f.have(p), f.node(v.text), tags.PlayKeysBefore(f.FileKey())...)
		}
	}
	var extra []value
	for _, v := range e.extra {
		if have := p.Extra[v.key]; have != "" {
			m.correct(p, at.To("extra", v.key), v, have, extraPrefix+v.key)
		} else {
			extra = append(extra, v)
		}
	}
	m.fillExtra(p, at, extra)
	angles := &yaml.Node{Kind: yaml.MappingNode}
	for _, angle := range e.angles {
		if rest := m.fillFilm(p, at, angle, onFilm(e.film[angle])); rest != nil {
			angles.Content = append(angles.Content, rest...)
		}
	}
	switch within := at.To("angles"); {
	case len(angles.Content) == 0:
	case m.written(within):
		for i := 0; i < len(angles.Content); i += 2 {
			m.edits = append(m.edits, tags.Insert(within, angles.Content[i].Value, angles.Content[i+1]))
		}
	default:
		m.edits = append(m.edits, tags.Insert(at, "angles", angles, tags.PlayKeysBefore("angles")...))
	}
}

// set fills one value, or keeps what the tag file has.
func (m *merger) set(p *tags.Play, at tags.Path, v value, have string, n *yaml.Node, after ...string) {
	if have == "" && !m.written(at.To(v.key)) {
		m.change.Filled++
		m.change.say("play %d: add %s %s", p.Number, v.key, short(v.text))
		m.edits = append(m.edits, tags.Insert(at, v.key, n, after...))
		switch _, plain := fieldOf(v.key); {
		case plain:
			m.change.Ledger.set(p.Number, v.key, v.text)
		case at[len(at)-1] == "extra":
			m.change.Ledger.set(p.Number, extraPrefix+v.key, v.text)
		}
		return
	}
	m.correct(p, at.To(v.key), v, have, v.key)
}

// correct puts what a corrected sheet says in the place of what a sheet brought, or keeps what
// somebody wrote.
func (m *merger) correct(p *tags.Play, at tags.Path, v value, have, key string) {
	if have == "" || strings.TrimSpace(have) == v.text || !m.change.Ledger.untouched(p.Number, key, have) {
		m.change.keep(p, v, have)
		return
	}
	if m.written(at) {
		if err := tags.Replaceable(m.change.Data, tags.Child(m.top, at...)); err != nil {
			m.change.Faults.Add(v.pos, "the %s of play %d stays as it is: %s: %v", v.key, p.Number, m.file, err)
			return
		}
	}
	m.change.Filled++
	m.change.Ledger.set(p.Number, key, v.text)
	m.change.say("play %d: correct %s %s to %s", p.Number, v.key, short(have), short(v.text))
	m.edits = append(m.edits, tags.Replace(at, v.text))
}

func (m *merger) fillExtra(p *tags.Play, at tags.Path, extra []value) {
	if len(extra) == 0 {
		return
	}
	within := at.To("extra")
	if m.written(within) {
		for _, v := range extra {
			m.set(p, within, v, "", tags.Scalar(v.text))
		}
		return
	}
	for _, v := range extra {
		m.change.Ledger.set(p.Number, extraPrefix+v.key, v.text)
	}
	m.change.Filled += len(extra)
	m.change.say("play %d: add %s", p.Number, strings.Join(sayAll(extra), ", "))
	m.edits = append(m.edits, tags.Insert(at, "extra", mappingOf(extra), tags.PlayKeysBefore("extra")...))
}

// fillFilm fills in when and where a play is on an angle; no name means the first. What
// the play says nothing of yet comes back, as the angle's key and value.
func (m *merger) fillFilm(p *tags.Play, at tags.Path, angle string, values []value) []*yaml.Node {
	if len(values) == 0 {
		return nil
	}
	bare := angle == ""
	first := len(m.game.Films) > 0 && (bare || m.game.Films[0].Angle == angle)
	if bare {
		angle = m.game.Films[0].Angle
	}
	var have tags.Written
	listed, own := false, false
	for _, w := range p.Written() {
		switch {
		case w.Angle == angle:
			listed = true
		case w.Angle == "" && first:
			own = true
		default:
			continue
		}
		have = overlay(have, w)
	}
	within := at.To("angles", angle)
	var rest []value
	for _, v := range values {
		switch text := m.onAngle(have, v); {
		case text != "":
			m.change.keep(p, v, text)
		case v.key == "file" && (have.In != nil || have.Out != nil || have.Snap != nil):
			m.change.keep(p, v, "the times on the game's film")
		case listed:
			m.set(p, within, v, "", v.node())
		case (own || bare) && v.key == "snap":
			m.fillSnap(p, at, v)
		case (own || bare) && v.key != "file":
			m.set(p, at, v, "", v.node(), tags.PlayKeysBefore(v.key)...)
		default:
			rest = append(rest, v)
		}
	}
	if len(rest) == 0 {
		return nil
	}
	m.change.Filled += len(rest)
	m.change.say("play %d: add on %s %s", p.Number, angle, strings.Join(sayAll(rest), ", "))
	return []*yaml.Node{tags.Scalar(angle), mappingOf(rest)}
}

func (m *merger) fillSnap(p *tags.Play, at tags.Path, v value) {
	within := at.To("marks")
	if m.written(within) {
		m.set(p, within, v, "", v.node())
		return
	}
	m.change.Filled++
	m.change.say("play %d: add %s %s", p.Number, v.key, v.text)
	m.edits = append(m.edits, tags.Insert(at, "marks", mappingOf([]value{v}), tags.PlayKeysBefore("marks")...))
}

// overlay is what is said on an angle over what is said on the play itself.
func overlay(a, b tags.Written) tags.Written {
	if a.File == "" {
		a.File = b.File
	}
	if b.In != nil {
		a.In = b.In
	}
	if b.Out != nil {
		a.Out = b.Out
	}
	if b.Snap != nil {
		a.Snap = b.Snap
	}
	return a
}

// onAngle is what the tag file has where the sheet has v; v's own text where they agree.
func (m *merger) onAngle(have tags.Written, v value) string {
	if v.key == "file" {
		if have.File != "" && m.path(v.text) == have.File {
			return v.text
		}
		return have.File
	}
	at := map[string]*tags.Instant{"in": have.In, "out": have.Out, "snap": have.Snap}[v.key]
	switch {
	case at == nil:
		return ""
	case at.Same(*v.at):
		return v.text
	default:
		return at.String()
	}
}

// path is a film file as the tag file would mean it.
func (m *merger) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	path, err := filepath.Abs(filepath.Join(filepath.Dir(m.file), filepath.FromSlash(name)))
	if err != nil {
		return name
	}
	return path
}

// written reports whether the tag file has anything at a path, be it an empty text.
func (m *merger) written(at tags.Path) bool {
	n := tags.Child(m.top, at...)
	return n != nil && n.ShortTag() != "!!null"
}
