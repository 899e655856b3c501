package exchange

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
)

// ErrNoID says that a new tag file's name gives no id for the game.
var ErrNoID = errors.New("a new tag file is named for its game, in small letters, digits and hyphens, such as wk1-harbor" + tags.Suffix)

// sources is what is merged into a tag file, and what it is read by.
type sources struct {
	sheet      *Sheet
	mapping    *Columns // may be nil
	vocabulary *tags.Vocabulary
	ledger     Ledger // what sheets brought before: where nobody touched it since, the sheet overrules it
	progress   Progress
}

// merge brings the sheet into the tag file whose bytes are data; nil for a file that is not there
// yet. It fills what is absent, adds plays that are missing, corrects what the ledger says that
// nobody touched, and changes nothing that somebody wrote. What cannot be read of the sheet is in
// [Change.Faults]. Its error is [tags.Faults] where the tag file or the mapping has any, or where it
// cannot be told which plays the rows are: then nothing is changed at all.
func (s sources) merge(ctx context.Context, file string, data []byte) (*Change, error) {
	game := &tags.Game{}
	if data != nil {
		var faults tags.Faults
		if game, faults = tags.ParseGame(file, data, s.vocabulary); faults.Err() != nil {
			return nil, faults
		}
	}
	r := &reader{sources: s, game: game}
	entries := r.read(ctx)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	if err := r.faults.Err(); err != nil {
		r.faults.Sort()
		return nil, r.faults
	}
	r.refused.Sort()
	change := &Change{File: file, Data: data, Ledger: s.ledger, Understood: r.understood, Faults: r.refused, old: data}
	m := &merger{sources: s, file: file, game: game, change: change, replaced: map[replacedKey]bool{}, begun: map[string]*yaml.Node{}}
	if data == nil {
		return m.begin(entries, r.passers)
	}
	if err := m.merge(ctx, entries, r.passers); err != nil {
		return nil, err
	}
	return m.change, m.check()
}

type merger struct {
	sources
	file   string
	game   *tags.Game
	top    *yaml.Node // of the tag file
	edits  []tags.Edit
	change *Change

	replaced map[replacedKey]bool
	added    []*repEntry           // reps that the tag file does not have
	begun    map[string]*yaml.Node // mappings of reps that are to be inserted, by path
	later    []func() tags.Edit    // which insert them, when all is in them
}

// begin writes a new tag file, named for its game.
func (m *merger) begin(entries []*entry, passers []passer) (*Change, error) {
	name := strings.TrimSuffix(filepath.Base(m.file), tags.Suffix)
	if !tags.ID.MatchString(name) {
		return nil, fmt.Errorf("%s: %w", m.file, ErrNoID)
	}
	head := []value{{key: "id", text: name}}
	opponent := opponentOf(entries)
	if opponent != "" {
		head = append(head, value{key: "opponent", text: opponent})
	}
	game, err := yaml.Marshal(mappingOf(head))
	if err != nil {
		return nil, fmt.Errorf("write game %s: %w", name, err)
	}
	text := fmt.Sprintf("trenchcut: %d\ngame: %s", tags.Format, game)
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
		line, err := yaml.Marshal(p.node(opponent))
		if err != nil {
			return nil, fmt.Errorf("write passer %s: %w", p.id, err)
		}
		text += "  " + p.id + ": " + string(line)
	}
	for i, e := range entries {
		m.add(e)
		m.progress.tell(mergingPlays, i+1, len(entries))
	}
	data, err := tags.Splice([]byte(text+"\nplays:\n"), m.edits...)
	if err != nil {
		return nil, fmt.Errorf("write the new tag file: %w", err)
	}
	// A blank line between plays, but not before the first.
	const item = "\n  - play: "
	above, plays, _ := strings.Cut(string(data), item)
	m.change.Data = []byte(above + item + strings.ReplaceAll(plays, item, "\n"+item))
	if len(entries) == 0 {
		m.change.Data = data
	}
	return m.change, m.check()
}

// opponentOf returns the opponent that all rows of the sheet agree on, or an empty text. In a new
// tag file he is the team of the people who are not ours.
func opponentOf(entries []*entry) string {
	opponent := ""
	for i, e := range entries {
		at := slices.IndexFunc(e.extra, func(v value) bool { return flatten(v.key) == "opponent" })
		if at < 0 || i > 0 && e.extra[at].text != opponent {
			return ""
		}
		opponent = e.extra[at].text
	}
	return opponent
}

// check holds the new tag file to what every tag file is held to.
func (m *merger) check() error {
	m.progress.tell(checkingTags, 0, 1)
	defer m.progress.tell(checkingTags, 1, 1)
	if _, faults := tags.ParseGame(m.file, m.change.Data, m.vocabulary); faults.Err() != nil {
		said := make([]string, 0, len(faults))
		for _, f := range faults {
			if !f.Warning {
				said = append(said, f.What)
			}
		}
		return fmt.Errorf("%s is left as it is, because with the sheet it would have faults: %s", m.file, strings.Join(said, "; "))
	}
	return nil
}

// parse sets the top value to that of a tag file without a fault.
func (m *merger) parse(data []byte) error {
	var root yaml.Node
	if err := yaml.Unmarshal(data, &root); err != nil {
		return fmt.Errorf("read %s: %w", m.file, err)
	}
	m.top = root.Content[0]
	return nil
}

func (m *merger) merge(ctx context.Context, entries []*entry, passers []passer) error {
	if err := m.parse(m.change.Data); err != nil {
		return err
	}
	byNumber := map[int]int{}
	for i, p := range m.game.Plays {
		byNumber[p.Number] = i
	}
	if err := m.clearReps(entries, byNumber); err != nil {
		return err
	}
	m.addPeople(passers, cmp.Or(m.game.Opponent, opponentOf(entries)))
	for n, e := range entries {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		m.progress.tell(mergingPlays, n+1, len(entries))
		if i, ok := byNumber[e.number]; ok {
			m.fill(e, i)
			m.fillReps(e, i)
		} else {
			m.add(e)
		}
	}
	for _, edit := range m.later {
		m.edits = append(m.edits, edit())
	}
	m.warnAssumed()
	m.change.Faults.Sort()
	if len(m.edits) == 0 {
		return nil
	}
	data := m.change.Data
	if tags.Child(m.top, "plays") == nil { // a tag file that has but its head
		data = slices.Concat(bytes.TrimRight(data, "\n"), []byte("\n\nplays:\n"))
	}
	data, err := tags.Splice(data, m.edits...)
	if err != nil {
		return fmt.Errorf("edit %s: %w", m.file, err)
	}
	m.change.Data = data
	return nil
}

// addPeople gives a tag file that names nobody the people of the sheet.
func (m *merger) addPeople(passers []passer, opponent string) {
	if len(passers) == 0 {
		return
	}
	at := tags.Path{"people"}
	people := &yaml.Node{Kind: yaml.MappingNode}
	for _, p := range passers {
		n := p.node(opponent)
		m.change.Filled++
		m.change.say("people: add %s as %s", p.shown(), p.id)
		people.Content = append(people.Content, tags.Scalar(p.id), n)
		if m.written(at) {
			m.edits = append(m.edits, tags.Insert(at, p.id, n))
		}
	}
	if !m.written(at) {
		m.edits = append(m.edits, tags.Insert(tags.Path{}, "people", people, "trenchcut", "game", "film"))
	}
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
	reps := &yaml.Node{Kind: yaml.SequenceNode}
	var lines []string
	for _, rep := range e.reps {
		before := len(m.change.Lines)
		if n := m.newRep(e, rep); n != nil {
			reps.Content = append(reps.Content, n)
			lines = append(lines, m.change.Lines[before:]...)
			m.change.Lines = m.change.Lines[:before]
		}
	}
	if len(reps.Content) > 0 {
		put("reps", reps)
	}
	m.change.Ledger.note(e)
	m.change.Added++
	m.change.say("add play %d%s", e.number, strings.TrimSuffix(": "+strings.Join(said, ", "), ": "))
	m.change.Lines = append(m.change.Lines, lines...)
	m.edits = append(m.edits, tags.Append(tags.Path{"plays"}, play))
}
