package mark

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"sync"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// ErrReadOnly says that a document was opened to be looked at.
var ErrReadOnly = errors.New("this page only shows the game: it was opened with --read-only")

// Options says how a document is opened.
type Options struct {
	ReadOnly bool
	// Films is what the game's film is, by file; without it times are not held to the film.
	Films map[string]tags.Extent
	// Keys is what keys do; nil is [DefaultKeys].
	Keys []Key
}

// Document is one tag file that is being edited. What [Document.Do] reports as done is in the
// file, or in the journal beside it where the file cannot hold it yet. It is safe for
// concurrent use, by several programs too.
type Document struct {
	path       string
	vocabulary *tags.Vocabulary
	films      films
	keys       []Key
	journal    *journal // nil where it is read-only

	mu      sync.Mutex
	state   state
	broken  error // why the file cannot be read now; state is what it was
	done    []change
	undone  []change
	version int
	others  int // how often somebody else changed the file
	waiting Watchers
}

// Open opens the tag file at path. It takes up what an earlier session had begun.
func Open(path string, v *tags.Vocabulary, o Options) (*Document, error) {
	d := &Document{path: path, vocabulary: v, films: o.Films, keys: o.Keys, version: 1}
	if d.keys == nil {
		d.keys = DefaultKeys
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	if d.state.text, err = readText(path, data, v, d.films); err != nil {
		return nil, err
	}
	if o.ReadOnly {
		return d, nil
	}
	journal, records, err := openJournal(path)
	if err != nil {
		return nil, err
	}
	d.journal = journal
	if err := d.takeUp(records); err != nil {
		journal.close()
		return nil, err
	}
	return d, nil
}

// Keys is what keys do.
func (d *Document) Keys() []Key { return d.keys }

// Close ends the session. Nothing waits to be saved.
func (d *Document) Close() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.journal != nil {
		d.journal.close()
		d.journal = nil
	}
}

// takeUp goes through a journal again, and finishes a step that was written there and not to
// the file.
func (d *Document) takeUp(records []record) error {
	if len(records) == 0 {
		return nil
	}
	var before []Draft // what was begun before the last step
	for _, r := range records {
		before = d.state.drafts
		d.count(r)
	}
	last := records[len(records)-1]
	if last.Hunk == nil || sum(d.state.Data) == last.Hunk.After {
		return nil
	}
	if data, ok := last.Hunk.changed(d.state.Data); ok {
		return d.save(data)
	}
	// Somebody else wrote the file since. Whether the step had come into it first cannot be
	// told, so what was begun and is not there is still begun.
	for _, was := range before {
		if _, there := d.state.value(was.Play, was.Rep, ""); !there {
			d.state.drafts = append(d.state.drafts, was)
		}
	}
	return nil
}

// count takes a step into the stacks.
func (d *Document) count(r record) {
	d.state.drafts = r.Drafts
	switch r.Step {
	case stepDone:
		d.done, d.undone = append(d.done, *r.Change), nil
	case stepUndone:
		last := len(d.done) - 1
		d.undone, d.done = append(d.undone, d.done[last]), d.done[:last]
	case stepRedone:
		last := len(d.undone) - 1
		d.done, d.undone = append(d.done, d.undone[last]), d.undone[:last]
	}
}

// save writes the file and reads it again.
func (d *Document) save(next []byte) error {
	if err := files.Update(d.path, d.state.Data, next); err != nil {
		return err
	}
	t, err := readText(d.path, next, d.vocabulary, d.films)
	if err != nil {
		return err
	}
	d.state.text = t
	return nil
}

// mostTries bounds how often an edit is made again because the file was changed under it.
const mostTries = 20

// Do makes edits, all or none. When it returns, they are saved. It fails with a
// [ConflictError] where somebody else changed what they are about, and with what the check
// says where the file would get a fault that it does not have. It reports whether anything changed.
func (d *Document) Do(edits ...Edit) (changed bool, err error) {
	err = d.step(func(s state) (state, record, error) {
		next, undo, err := s.apply(slices.Clone(edits), d.vocabulary, d.films)
		if err != nil {
			return s, record{}, err
		}
		c := &change{Edits: edits, Undo: undo, Hunk: between(s.Data, next.Data), Was: s.drafts, Is: next.drafts}
		if len(undo) == 0 {
			return s, record{}, errNothing
		}
		changed = true
		return next, record{Step: stepDone, Change: c}, nil
	})
	return changed, err
}

// errNothing ends a step that changes nothing.
var errNothing = errors.New("nothing changes")

// Undo takes back what was done last and not taken back, and says what it was; nothing where
// there is nothing. Where the file was changed elsewhere since, it takes back its own fields
// alone, and fails with a [ConflictError] where these were changed.
func (d *Document) Undo() (string, error) {
	return d.again(&d.done, stepUndone, func(c change) ([]Edit, hunk, []Draft, []Draft) {
		return c.Undo, c.Hunk.back(), c.Is, c.Was
	})
}

// Redo makes again what was taken back last.
func (d *Document) Redo() (string, error) {
	return d.again(&d.undone, stepRedone, func(c change) ([]Edit, hunk, []Draft, []Draft) {
		return c.Edits, c.Hunk, c.Was, c.Is
	})
}

// again carries out the last of a stack.
func (d *Document) again(stack *[]change, step step, way func(change) ([]Edit, hunk, []Draft, []Draft)) (string, error) {
	what := ""
	err := d.step(func(s state) (state, record, error) {
		if len(*stack) == 0 {
			return s, record{}, errNothing
		}
		c := (*stack)[len(*stack)-1]
		what = c.Edits[0].String()
		edits, h, from, to := way(c)
		if data, ok := h.changed(s.Data); ok && sameDrafts(s.drafts, from) {
			next := state{text: s.text, drafts: to}
			if h.Old != h.New {
				t, err := readText(d.path, data, d.vocabulary, d.films)
				if err != nil {
					return s, record{}, err
				}
				next.text = t
			}
			return next, record{Step: step}, nil
		}
		next, _, err := s.apply(slices.Clone(edits), d.vocabulary, d.films)
		return next, record{Step: step}, err
	})
	return what, err
}

func sameDrafts(a, b []Draft) bool {
	return slices.EqualFunc(a, b, func(a, b Draft) bool {
		return a.Play == b.Play && a.Rep == b.Rep && slices.Equal(a.Values, b.Values)
	})
}

// step carries out what make makes of the newest state.
func (d *Document) step(make func(state) (state, record, error)) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.journal == nil {
		return ErrReadOnly
	}
	lock, err := lockGame(d.path)
	if err != nil {
		return err
	}
	defer lock.Unlock()
	for range mostTries {
		if err := d.refresh(); err != nil {
			return err
		}
		next, r, err := make(d.state)
		if errors.Is(err, errNothing) {
			return nil
		}
		if err != nil {
			return err
		}
		err = d.write(next, r)
		if errors.Is(err, files.ErrChanged) {
			continue
		}
		return err
	}
	return files.ErrChanged
}

// write brings a step to the journal and then to the file.
func (d *Document) write(next state, r record) error {
	r.Drafts = next.drafts
	if !bytes.Equal(next.Data, d.state.Data) {
		h := between(d.state.Data, next.Data)
		r.Hunk = &h
	}
	if err := d.journal.write(r); err != nil {
		return err
	}
	if r.Hunk != nil {
		if err := files.Update(d.path, d.state.Data, next.Data); err != nil {
			return errors.Join(err, d.journal.takeBack())
		}
	}
	d.state.text = next.text
	d.count(r)
	d.changed()
	return nil
}

// Refresh takes in what others wrote to the file, and reports whether they did.
func (d *Document) Refresh() (changed bool, err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	before := d.version
	err = d.refresh()
	return d.version != before, err
}

func (d *Document) refresh() error {
	data, err := os.ReadFile(d.path)
	if err == nil && bytes.Equal(data, d.state.Data) {
		if d.broken != nil {
			d.broken = nil
			d.changed()
		}
		return nil
	}
	var t *text
	if err == nil {
		t, err = readText(d.path, data, d.vocabulary, d.films)
	}
	if err != nil {
		if d.broken == nil || d.broken.Error() != err.Error() {
			d.broken = fmt.Errorf("the tag file cannot be read now, so nothing is written to it: %w", err)
			d.changed()
		}
		return d.broken
	}
	d.state.text, d.broken = t, nil
	d.others++
	d.changed()
	return nil
}

// changed tells whoever waits that there is something new.
func (d *Document) changed() {
	d.version++
	d.waiting.Tell()
}

// Watch gives a channel that is told when the document has changed, until stop is called.
func (d *Document) Watch() (changes <-chan struct{}, stop func()) { return d.waiting.Watch() }

// Look is a document as it is at one time. It must not be changed.
type Look struct {
	Game    *tags.Game
	Drafts  []Draft
	Faults  tags.Faults
	Broken  error  // why the file cannot be read now
	Undo    string // what Undo would take back; empty is nothing
	Redo    string
	Version int
	Others  int // how often somebody else changed the file

	state state
}

// Value is what a field of a play or rep holds, in the file or in what is begun; whether
// there is such a play or rep. An empty field asks for that alone.
func (l Look) Value(play int, rep string, f Field) (string, bool) {
	return l.state.value(play, rep, f)
}

// Look is d as it is now.
func (d *Document) Look() Look {
	d.mu.Lock()
	defer d.mu.Unlock()
	l := Look{
		Game: d.state.game, Drafts: slices.Clone(d.state.drafts), Faults: d.state.faults, Broken: d.broken,
		Version: d.version, Others: d.others, state: state{d.state.text, slices.Clone(d.state.drafts)},
	}
	if n := len(d.done); n > 0 {
		l.Undo = d.done[n-1].Edits[0].String()
	}
	if n := len(d.undone); n > 0 {
		l.Redo = d.undone[n-1].Edits[0].String()
	}
	return l
}
