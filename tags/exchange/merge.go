package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// Change is what a sheet does to a tag file.
type Change struct {
	Data    []byte   // the tag file as it then is
	Lines   []string // what is added and what is kept although the sheet differs, a line each
	Added   int      // plays
	Filled  int      // values of plays that were there
	Differs int      // values that the sheet gives otherwise; the tag file wins
}

// ErrNoID says that a new tag file's name gives no id for the game.
var ErrNoID = errors.New("a new tag file is named for its game, in small letters, digits and hyphens, such as wk1-harbor" + tags.Suffix)

// Merge brings a sheet into the tag file whose bytes are data; nil for a file that is not
// there yet. It fills what is absent and adds plays that are missing, and changes nothing
// that somebody wrote. mapping may be nil. Its error is [tags.Faults] where the tag file or
// the sheet has any: then nothing is changed at all.
func Merge(file string, data []byte, s *Sheet, mapping *Columns, v *tags.Vocabulary) (*Change, error) {
	game := &tags.Game{}
	if data != nil {
		var faults tags.Faults
		if game, faults = tags.ParseGame(file, data, v); faults.Err() != nil {
			return nil, faults
		}
	}
	r := &reader{sheet: s, vocabulary: v, game: game, mapping: mapping}
	entries := r.read()
	if err := r.faults.Err(); err != nil {
		r.faults.Sort()
		return nil, r.faults
	}
	m := &merger{file: file, game: game, change: &Change{Data: data}}
	if data == nil {
		return m.begin(entries, r.passers, v)
	}
	if err := m.merge(entries); err != nil {
		return nil, err
	}
	return m.change, m.check(v)
}

type merger struct {
	file   string
	game   *tags.Game
	root   yaml.Node // of the tag file
	edits  []tags.Edit
	change *Change
}

// begin writes a new tag file.
func (m *merger) begin(entries []*entry, passers []passer, v *tags.Vocabulary) (*Change, error) {
	name := strings.TrimSuffix(filepath.Base(m.file), tags.Suffix)
	if !angleForm.MatchString(name) {
		return nil, fmt.Errorf("%s: %w", m.file, ErrNoID)
	}
	text := fmt.Sprintf("trenchcut: %d\ngame: {id: %s}\n", tags.Format, name)
	var angles []string
	for _, e := range entries {
		for _, angle := range e.angles {
			if !slices.Contains(angles, angle) {
				angles = append(angles, angle)
			}
		}
	}
	if len(angles) > 0 {
		text += "film:\n"
	}
	for _, angle := range angles {
		text += "  " + angle + ": {}\n"
	}
	if len(passers) > 0 {
		text += "people:\n"
	}
	for _, p := range passers {
		line, err := yaml.Marshal(p.node(""))
		if err != nil {
			return nil, fmt.Errorf("write passer %s: %w", p.id, err)
		}
		text += "  " + p.id + ": " + string(line)
	}
	for _, e := range entries {
		m.add(e)
	}
	data, err := tags.Splice([]byte(text+"\nplays:\n"), m.edits...)
	if err != nil {
		return nil, fmt.Errorf("write the new tag file: %w", err)
	}
	// A blank line between plays, but not before the first.
	const item = "\n  - play: "
	head, plays, _ := strings.Cut(string(data), item)
	m.change.Data = []byte(head + item + strings.ReplaceAll(plays, item, "\n"+item))
	if len(entries) == 0 {
		m.change.Data = data
	}
	return m.change, m.check(v)
}

// check holds the new tag file to what every tag file is held to.
func (m *merger) check(v *tags.Vocabulary) error {
	if _, faults := tags.ParseGame(m.file, m.change.Data, v); faults.Err() != nil {
		said := make([]string, 0, len(faults))
		for _, f := range faults {
			if !f.Warning {
				said = append(said, f.What)
			}
		}
		return fmt.Errorf("with the sheet in it %s would have faults, so it is left as it is: %s", m.file, strings.Join(said, "; "))
	}
	return nil
}

func (m *merger) merge(entries []*entry) error {
	if err := yaml.Unmarshal(m.change.Data, &m.root); err != nil {
		return fmt.Errorf("read %s: %w", m.file, err)
	}
	byNumber := map[int]int{}
	for i, p := range m.game.Plays {
		byNumber[p.Number] = i
	}
	for _, e := range entries {
		if i, ok := byNumber[e.number]; ok {
			m.fill(e, i)
		} else {
			m.add(e)
		}
	}
	if len(m.edits) == 0 {
		return nil
	}
	data := m.change.Data
	if !m.says("plays") { // a tag file that has but its head
		data = slices.Concat(bytes.TrimRight(data, "\n"), []byte("\n\nplays:\n"))
	}
	data, err := tags.Splice(data, m.edits...)
	if err != nil {
		return fmt.Errorf("edit %s: %w", m.file, err)
	}
	m.change.Data = data
	return nil
}

// says reports whether the tag file has a key on its first level.
func (m *merger) says(key string) bool {
	if len(m.root.Content) == 0 {
		return false
	}
	for i, n := range m.root.Content[0].Content {
		if i%2 == 0 && n.Value == key {
			return true
		}
	}
	return false
}

func (m *merger) say(format string, args ...any) {
	m.change.Lines = append(m.change.Lines, fmt.Sprintf(format, args...))
}

// add appends a play that the tag file does not have.
func (m *merger) add(e *entry) {
	play := &yaml.Node{Kind: yaml.MappingNode}
	put := func(key string, n *yaml.Node) { play.Content = append(play.Content, tags.Scalar(key), n) }
	var said []string
	for _, f := range fields {
		if v, ok := e.values[f.FileKey()]; ok {
			put(v.key, f.node(v.text))
			if v.key != "play" {
				said = append(said, v.key+" "+v.text)
			}
		}
	}
	if len(e.extra) > 0 {
		put("extra", mappingOf(e.extra))
		said = append(said, sayAll(e.extra)...)
	}
	marks := mappingOf(nil)
	angles := &yaml.Node{Kind: yaml.MappingNode}
	for _, angle := range e.angles {
		values := onFilm(e.film[angle])
		if len(values) == 0 {
			continue // a row may name an angle and say nothing of it
		}
		said = append(said, strings.TrimPrefix("on "+angle+" ", "on  ")+strings.Join(sayAll(values), ", "))
		if angle != "" {
			angles.Content = append(angles.Content, tags.Scalar(angle), mappingOf(values))
			continue
		}
		for _, v := range values {
			switch v.key {
			case "snap":
				marks = mappingOf([]value{v})
			case "file": // of the one film there is
				angles.Content = append(angles.Content, tags.Scalar(m.game.Films[0].Angle), mappingOf([]value{v}))
			default:
				put(v.key, v.node())
			}
		}
	}
	if len(angles.Content) > 0 {
		put("angles", angles)
	}
	if len(marks.Content) > 0 {
		put("marks", marks)
	}
	m.change.Added++
	m.say("add play %d%s", e.number, strings.TrimSuffix(": "+strings.Join(said, ", "), ": "))
	m.edits = append(m.edits, tags.Append(tags.Path{"plays"}, play))
}

// node is a field's value as a person would write it.
func (f field) node(text string) *yaml.Node {
	if _, err := strconv.Atoi(text); err == nil && f.quoted() {
		return tags.Quoted(text)
	}
	return tags.Scalar(text)
}

// mappingOf is {in: 0:00:01.000, out: 0:00:05.000}, on one line.
func mappingOf(values []value) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, v := range values {
		n.Content = append(n.Content, tags.Scalar(v.key), v.node())
	}
	return n
}

// onFilm is what is said of an angle in the order in which a tag file has it.
func onFilm(said map[string]value) []value {
	var values []value
	for _, key := range onAngle {
		if v, ok := said[key]; ok {
			values = append(values, v)
		}
	}
	return values
}

func sayAll(values []value) []string {
	said := make([]string, len(values))
	for i, v := range values {
		said[i] = v.key + " " + short(v.text)
	}
	return said
}

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
			m.keep(p, v, have)
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
	switch within := append(slices.Clone(at), "angles"); {
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
	if have == "" && !m.written(append(slices.Clone(at), v.key)) {
		m.change.Filled++
		m.say("play %d: add %s %s", p.Number, v.key, short(v.text))
		m.edits = append(m.edits, tags.Insert(at, v.key, n, after...))
		return
	}
	m.keep(p, v, have)
}

func (m *merger) keep(p *tags.Play, v value, have string) {
	if strings.TrimSpace(have) == v.text {
		return
	}
	if have == "" {
		have = "empty"
	}
	m.change.Differs++
	m.say("play %d: keep %s %s; the sheet says %s (%s)", p.Number, v.key, short(have), short(v.text), v.pos)
}

// written reports whether the tag file has anything at a path, be it an empty text.
func (m *merger) written(at tags.Path) bool {
	n := m.root.Content[0]
	for _, step := range at {
		switch step := step.(type) {
		case int:
			n = n.Content[step]
		case string:
			i := 0
			for i < len(n.Content) && n.Content[i].Value != step {
				i += 2
			}
			if n.Kind != yaml.MappingNode || i+1 >= len(n.Content) {
				return false
			}
			n = n.Content[i+1]
		}
	}
	return n.ShortTag() != "!!null"
}

func (m *merger) fillExtra(p *tags.Play, at tags.Path, extra []value) {
	if len(extra) == 0 {
		return
	}
	within := append(slices.Clone(at), "extra")
	if m.written(within) {
		for _, v := range extra {
			m.set(p, within, v, "", tags.Scalar(v.text))
		}
		return
	}
	m.change.Filled += len(extra)
	m.say("play %d: add %s", p.Number, strings.Join(sayAll(extra), ", "))
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
	within := append(slices.Clone(at), "angles", angle)
	var rest []value
	for _, v := range values {
		switch text := m.onAngle(have, v); {
		case text != "":
			m.keep(p, v, text)
		case v.key == "file" && (have.In != nil || have.Out != nil || have.Snap != nil):
			m.keep(p, v, "the times on the game's film")
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
	m.say("play %d: add on %s %s", p.Number, angle, strings.Join(sayAll(rest), ", "))
	return []*yaml.Node{tags.Scalar(angle), mappingOf(rest)}
}

func (m *merger) fillSnap(p *tags.Play, at tags.Path, v value) {
	within := append(slices.Clone(at), "marks")
	if m.written(within) {
		m.set(p, within, v, "", v.node())
		return
	}
	m.change.Filled++
	m.say("play %d: add %s %s", p.Number, v.key, v.text)
	m.edits = append(m.edits, tags.Insert(at, "marks", mappingOf([]value{v}), tags.PlayKeysBefore("marks")...))
}

// node is v as a person would write it.
func (v value) node() *yaml.Node {
	if v.at != nil {
		return tags.Bare(v.text)
	}
	return tags.Scalar(v.text)
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
