package mark

import (
	"errors"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

func vocabulary(t testing.TB) *tags.Vocabulary {
	t.Helper()
	v, faults, err := tags.LoadVocabulary(tags.StaffFiles{})
	if err := errors.Join(err, faults.Err()); err != nil {
		t.Fatal(err)
	}
	return v
}

// opened is a document over text, in a folder of its own.
func opened(t testing.TB, text string) *Document {
	t.Helper()
	path := filepath.Join(t.TempDir(), "wk9.game.yaml")
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return reopened(t, path)
}

func reopened(t testing.TB, path string) *Document {
	t.Helper()
	d, err := Open(path, vocabulary(t), Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(d.Close)
	return d
}

func onDisk(t testing.TB, d *Document) string {
	t.Helper()
	data, err := os.ReadFile(d.path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// randomStep is an edit that a person might make, and the typist's own doing of it.
func randomStep(r *rand.Rand, t *typist, l Look) (Edit, func()) {
	p := t.plays[r.Intn(len(t.plays))]
	who := pick(r, []string{"marlow", "wren", "oke"})
	_, i := t.find(p.number, who)
	draft := t.drafts[fmt.Sprint(p.number, who)] != nil
	switch k := r.Intn(20); {
	case i < 0 && !draft:
		facts := map[Field]string{}
		var values []Value
		for _, f := range typedRepFields {
			if r.Intn(6) == 0 {
				facts[f] = pick(r, typedWords[f])
				values = append(values, Value{f, facts[f]})
			}
		}
		r.Shuffle(len(values), func(i, j int) { values[i], values[j] = values[j], values[i] })
		return Edit{Verb: Add, Play: p.number, Rep: who, Values: values}, func() {
			t.drafts[fmt.Sprint(p.number, who)] = facts
			t.set(p.number, who, "battle", facts["battle"])
		}
	case k == 0 && i >= 0:
		return Edit{Verb: Remove, Play: p.number, Rep: who}, func() { t.remove(p, i) }
	case k < 6:
		who = ""
		f := pickField(r, append(slices.Clone(typedPlayFields), "angles.endzone.snap", "angles.sideline.snap", "angles.endzone.in", "angles.endzone.out"))
		return t.edit(r, l, p.number, who, f, !strings.HasSuffix(string(f), "in") && !strings.HasSuffix(string(f), "out"))
	default:
		return t.edit(r, l, p.number, who, pickField(r, typedRepFields), true)
	}
}

func (t *typist) edit(r *rand.Rand, l Look, play int, who string, f Field, clears bool) (Edit, func()) {
	was, _ := l.Value(play, who, f)
	v := pick(r, typedWords[f])
	if clears && r.Intn(4) == 0 {
		v = ""
	}
	return Edit{Verb: Set, Play: play, Rep: who, Field: f, Was: was, Value: v}, func() { t.set(play, who, f, v) }
}

func pickField(r *rand.Rand, fields []Field) Field { return fields[r.Intn(len(fields))] }

// After each of a thousand random edits the file is, byte for byte, what a person would have
// typed who never heard of splicing; and all of them can be undone one by one, and made again.
func TestDocumentAsTyped(t *testing.T) {
	const seeds, steps = 20, 50
	for seed := range int64(seeds) {
		r := rand.New(rand.NewSource(seed))
		person := randomTypist(r)
		d := opened(t, person.text())
		texts := []string{onDisk(t, d)}
		for range steps {
			e, typed := randomStep(r, person, d.Look())
			if err := d.Do(e); err != nil {
				t.Fatalf("seed %d: %s: %v\n%s", seed, e, err, onDisk(t, d))
			}
			typed()
			got := onDisk(t, d)
			if diff := cmp.Diff(person.text(), got); diff != "" {
				t.Fatalf("seed %d: after %+v the file is not as typed:\n%s\n%s", seed, e, diff, texts[len(texts)-1])
			}
			if len(d.done) == len(texts) {
				texts = append(texts, got)
			}
		}
		if seed%4 != 0 {
			continue
		}
		for i := len(texts) - 2; i >= 0; i-- {
			if _, err := d.Undo(); err != nil {
				t.Fatalf("seed %d: undo: %v", seed, err)
			}
			if got := onDisk(t, d); got != texts[i] {
				t.Fatalf("seed %d: after undo %d:\n%s", seed, i, cmp.Diff(texts[i], got))
			}
		}
		if got := onDisk(t, d); got != texts[0] {
			t.Fatalf("seed %d: after undoing all:\n%s", seed, cmp.Diff(texts[0], got))
		}
		for d.Look().Redo != "" {
			if _, err := d.Redo(); err != nil {
				t.Fatal(err)
			}
		}
		if got := onDisk(t, d); got != person.text() {
			t.Fatalf("seed %d: after making all again:\n%s", seed, cmp.Diff(person.text(), got))
		}
	}
}
