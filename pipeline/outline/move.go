package outline

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Move says that from a play on the film is that of the next play (By is 1) or of the one
// before (By is -1). Reps, marks and guesses go with the film they were tagged on; what the
// sheet says of the plays stays with their numbers.
type Move struct {
	File string // tag file
	From int    // number of a play
	By   int
}

// ParseMove reads a move as play=+1 or play=-1; File is left empty.
func ParseMove(text string) (Move, error) {
	play, by, ok := strings.Cut(text, "=")
	from, errFrom := strconv.Atoi(play)
	n, errBy := strconv.Atoi(by)
	if !ok || errFrom != nil || errBy != nil {
		return Move{}, fmt.Errorf("%s: want play=+1 or play=-1, such as 15=+1", text)
	}
	return Move{From: from, By: n}, nil
}

// Moved is what a move does to a tag file.
type Moved struct {
	Lines     []string // a line a play whose film becomes another's
	file      string
	old, data []byte
}

// Write writes the tag file. It fails with [files.ErrChanged] where that is no longer what was
// read.
func (m *Moved) Write() error { return files.Update(m.file, m.old, m.data) }

// Read finds what the move changes; nothing is written. It ends at the first play behind From
// that has no film, or with the last. It fails with a [tags.RequestError] where it cannot be
// made, and with [tags.Faults] where the tag file has faults.
func (m Move) Read(v *tags.Vocabulary) (*Moved, error) {
	if m.By != 1 && m.By != -1 {
		return nil, wrong("move %d by %d: film moves by one play, +1 or -1", m.From, m.By)
	}
	old, err := files.Read(m.File, 64<<20)
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	game, faults := tags.ParseGame(m.File, old, v)
	if faults.Err() != nil {
		return nil, faults
	}
	first, last, err := m.span(game)
	if err != nil {
		return nil, err
	}
	moved := &Moved{file: m.File, old: old, data: old}
	from := make([]int, len(game.Plays))
	for i := range from {
		from[i] = i
	}
	n := last + 1 - first
	if err := begunOn(m.File, game, func(number int) bool {
		return slices.ContainsFunc(game.Plays[first:last+1], func(p *tags.Play) bool { return p.Number == number })
	}); err != nil {
		return nil, err
	}
	for i := range n {
		from[first+i] = first + (i+m.By+n)%n
		p, next := game.Plays[first+i], game.Plays[from[first+i]]
		if hasFilm(p) {
			moved.Lines = append(moved.Lines, fmt.Sprintf("play %d: the film of play %d%s", next.Number, p.Number, withReps(p)))
		} else {
			moved.Lines = append(moved.Lines, fmt.Sprintf("play %d: no film", next.Number))
		}
	}
	if moved.data, err = renumber(old, from); err != nil {
		return nil, fmt.Errorf("%s: %w", m.File, err)
	}
	if _, faults := tags.ParseGame(m.File, moved.data, v); faults.Err() != nil {
		return nil, fmt.Errorf("%s is left as it is, because it would have faults: %w", m.File, errors.New(faults.Error()))
	}
	return moved, nil
}

// span returns the first and the last play, as indexes, among which film moves. The play at the end
// that the film moves to has none.
func (m Move) span(g *tags.Game) (first, last int, err error) {
	at := slices.IndexFunc(g.Plays, func(p *tags.Play) bool { return p.Number == m.From })
	switch {
	case at < 0:
		return 0, 0, wrong("move %d: %s has no such play", m.From, m.File)
	case !hasFilm(g.Plays[at]):
		return 0, 0, wrong("move %d: the play has no film", m.From)
	}
	end := at
	for end+1 < len(g.Plays) && hasFilm(g.Plays[end+1]) {
		end++
	}
	if m.By > 0 {
		if end+1 == len(g.Plays) {
			return 0, 0, wrong("move %d: no play behind it is without film, so that the last film would have no play: add one to the tag file, such as - play: %d", m.From, g.Plays[end].Number+1)
		}
		return at, end + 1, nil
	}
	if at == 0 || hasFilm(g.Plays[at-1]) {
		return 0, 0, wrong("move %d back: the play before it has film of its own", m.From)
	}
	return at - 1, end, nil
}

func hasFilm(p *tags.Play) bool { return len(p.Written()) > 0 }

func withReps(p *tags.Play) string {
	if len(p.Reps) == 0 {
		return ""
	}
	return ", with " + tags.Count(len(p.Reps), "rep")
}

// facts is what a tag file says of a play that its number goes with: its fields and the
// staff's own columns.
type facts struct {
	fields, extra map[string]*yaml.Node
	extras        []string // keys of extra, as they are written
	films         bool     // extra has keys that go with the film
}

// factsIn is the facts of the first n plays of a tag file.
func factsIn(root *yaml.Node, n int) []facts {
	var all []facts
	list := tags.Child(root.Content[0], "plays")
	for i := range n {
		all = append(all, factsOf(list.Content[i]))
	}
	return all
}

// withFilm is the keys of extra that go with the film.
var withFilm = []string{tags.GuessKey, unsureKey}

func factsOf(play *yaml.Node) facts {
	f := facts{fields: map[string]*yaml.Node{}, extra: map[string]*yaml.Node{}}
	for _, field := range tags.PlayFields {
		if n := tags.Child(play, field.FileKey()); n != nil {
			f.fields[field.FileKey()] = n
		}
	}
	if extra := tags.Child(play, "extra"); extra != nil && extra.Kind == yaml.MappingNode {
		for i := 0; i < len(extra.Content); i += 2 {
			key := extra.Content[i].Value
			if slices.Contains(withFilm, key) {
				f.films = true
				continue
			}
			f.extra[key] = extra.Content[i+1]
			f.extras = append(f.extras, key)
		}
	}
	return f
}

// become returns the edits that give the play at a path the facts of other in place of f: with
// taking those that remove what other lacks, else those that set the rest.
func (f facts) become(other facts, at tags.Path, taking bool) []tags.Edit {
	var edits []tags.Edit
	set := func(at tags.Path, key string, have, want *yaml.Node, after ...string) {
		path := at.To(key)
		switch {
		case taking && want == nil && have != nil:
			edits = append(edits, tags.Remove(path))
		case taking || want == nil:
		case have == nil:
			edits = append(edits, tags.Insert(at, key, want, after...))
		case have.Value != want.Value || have.Style != want.Style:
			edits = append(edits, tags.ReplaceValue(path, want))
		}
	}
	for _, field := range tags.PlayFields {
		key := field.FileKey()
		set(at, key, f.fields[key], other.fields[key], tags.PlayKeysBefore(key)...)
	}
	extra := at.To("extra")
	switch {
	case taking && !f.films && len(f.extras) > 0:
		return append(edits, tags.Remove(extra))
	case !taking && !f.films && len(f.extras) == 0 && len(other.extras) > 0:
		n := flowMapping()
		for _, key := range other.extras {
			put(n, key, other.extra[key])
		}
		return append(edits, tags.Insert(at, "extra", n, tags.PlayKeysBefore("extra")...))
	}
	for _, key := range f.extras {
		set(extra, key, f.extra[key], other.extra[key])
	}
	for _, key := range other.extras {
		if f.extra[key] == nil {
			set(extra, key, nil, other.extra[key])
		}
	}
	return edits
}
