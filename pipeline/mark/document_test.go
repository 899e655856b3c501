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
			t.drafts[fmt.Sprint(p.number, who)] = &typedDraft{facts: facts}
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
			if _, err := d.Do(e); err != nil {
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

// A rep whose result is taken back and given again is in its place with all that was said beside
// it, whatever was done in between.
func TestResultTakenBack(t *testing.T) {
	back := 0
	for seed := range int64(15) {
		r := rand.New(rand.NewSource(seed))
		person := randomTypist(r)
		d := opened(t, person.text())
		first := onDisk(t, d)
		for range 30 {
			e, typed := randomStep(r, person, d.Look())
			if r.Intn(4) > 0 {
				p := pick(r, []string{"marlow", "wren", "oke"})
				n := person.plays[r.Intn(2)].number
				f := pick(r, []string{"battle", "outcome"})
				was, there := d.Look().Value(n, p, Field(f))
				if !there {
					continue
				}
				e = Edit{Verb: Set, Play: n, Rep: p, Field: Field(f), Was: was}
				if draft, begun := d.Look().state.draft(n, p); begun {
					if e.Value = pick(r, typedWords[e.Field]); draft.Kept != nil {
						back++
					}
				}
				typed = func() { person.set(n, p, e.Field, e.Value) }
			}
			if _, err := d.Do(e); err != nil {
				t.Fatalf("seed %d: %s: %v\n%s", seed, e, err, onDisk(t, d))
			}
			before := person.text()
			typed()
			if diff := cmp.Diff(person.text(), onDisk(t, d)); diff != "" {
				t.Fatalf("seed %d: after %+v the file is not as typed:\n%s\n%s", seed, e, diff, before)
			}
		}
		for d.Look().Undo != "" {
			if _, err := d.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		if diff := cmp.Diff(first, onDisk(t, d)); diff != "" {
			t.Fatalf("seed %d: after undoing all:\n%s", seed, diff)
		}
	}
	if t.Logf("%d came back", back); back < 50 {
		t.Errorf("only %d reps came back", back)
	}
}

// commented is reps of a play with comments above, beside and below them, and the only rep of one.
var commented = func() string {
	const list = `    reps: # of the first series
      # the end first
      - rusher: marlow # asked coach
        align: 9

        battle: won # look again
        # until the whistle

      # inside of him
      - 99 1 bull lost # a line

      - {rusher: oke, battle: lost} # in brackets
`
	const only = "    # all of them\n    reps: # one\n      # above\n      - 91 9 bull lost # a line\n\n"
	play := func(n int, reps string) string {
		return fmt.Sprintf("  - play: %d\n    angles:\n      endzone: {in: 0:00:10.000, out: 0:00:20.000}\n%s", n, reps)
	}
	return typedHead + "plays:\n" + play(3, list) + play(6, only) + play(9, "")
}()

// A rep that is cleared once it lost its result leaves what is said above it in the file, as one that
// did not; both steps can be undone.
func TestClearedLeavesWhatIsSaidAbove(t *testing.T) {
	for who, c := range map[string]struct {
		play int
		was  string
	}{"marlow": {3, "won"}, "wren": {3, "lost"}, "oke": {3, "lost"}} {
		at, once := opened(t, commented), opened(t, commented)
		remove := Edit{Verb: Remove, Play: c.play, Rep: who}
		_, err := at.Do(remove)
		_, errClear := once.Do(Edit{Verb: Set, Play: c.play, Rep: who, Field: "battle", Was: c.was})
		_, errRemove := once.Do(remove)
		if err := errors.Join(err, errClear, errRemove); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(onDisk(t, at), onDisk(t, once)); diff != "" {
			t.Errorf("%s: %s", who, diff)
		}
		for range 2 {
			if _, err := once.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		if diff := cmp.Diff(commented, onDisk(t, once)); diff != "" || len(once.Look().Drafts) > 0 {
			t.Errorf("%s: undone: %s", who, diff)
		}
	}
}

// Where somebody else brings a rep that is begun here, the page shows what the file says; what is begun
// comes into the file with the next edit where the file does not say otherwise, once, and can be undone.
func TestBegunByTwo(t *testing.T) {
	d := opened(t, commented)
	if _, err := d.Do(Edit{Verb: Add, Play: 9, Rep: "marlow", Values: []Value{{"align", "9"}, {"side", "left"}, {"blocker.set", "short"}}}); err != nil {
		t.Fatal(err)
	}
	theirs := strings.Replace(commented, "  - play: 9\n", "  - play: 9\n    reps:\n      - {rusher: marlow, align: 5, battle: won}\n", 1)
	if err := os.WriteFile(d.path, []byte(theirs), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Refresh(); err != nil {
		t.Fatal(err)
	}
	l := d.Look()
	if align, _ := l.Value(9, "marlow", "align"); align != "5" || len(l.reps(9)) != 1 {
		t.Errorf("align is %s, reps are %q", align, l.reps(9))
	}
	for _, e := range []Edit{{Field: "outcome", Value: "sack"}, {Field: "side", Was: "left", Value: "left"}} {
		e.Verb, e.Play, e.Rep = Set, 9, "marlow"
		if _, err := d.Do(e); err != nil {
			t.Fatal(err)
		}
		want := strings.Replace(theirs, "align: 5, battle: won}", "align: 5, side: left, blocker: {set: short}, battle: won, outcome: sack}", 1)
		if e.Field == "side" {
			want = strings.Replace(want, ", outcome: sack", "", 1)
		}
		if diff := cmp.Diff(want, onDisk(t, d)); diff != "" || len(d.Look().Drafts) > 0 {
			t.Error(diff, d.Look().Drafts)
		}
		if _, err := d.Undo(); err != nil {
			t.Fatal(err)
		}
		if now := onDisk(t, d); now != theirs || len(d.Look().Drafts) != 1 {
			t.Errorf("undone: %s", now)
		}
	}
}

// The comments of a rep wait with it, in the next session too, and the rep above it keeps its own.
func TestCommentsWait(t *testing.T) {
	text := commented
	for name, c := range map[string]struct {
		play   int
		who    string
		was    string
		meant  Edit // what is done in between
		result Value
		want   [2]string
	}{
		"the first":            {3, "marlow", "won", Edit{Verb: Set, Play: 3, Rep: "wren", Field: "outcome", Value: "hurry"}, Value{"battle", "lost"}, [2]string{"battle: won # look", "battle: lost # look"}},
		"the first, otherwise": {3, "marlow", "won", Edit{Verb: Set, Play: 3, Rep: "marlow", Field: "align", Was: "9", Value: "5"}, Value{"battle", "won"}, [2]string{"align: 9\n\n", "align: 5\n\n"}},
		"on one line":          {3, "wren", "lost", Edit{Verb: Set, Play: 9, Field: "down", Value: "2"}, Value{"battle", "won"}, [2]string{"1 bull lost", "1 bull won"}},
		"in brackets":          {3, "oke", "lost", Edit{Verb: Set, Play: 9, Field: "down", Value: "2"}, Value{"outcome", "sack"}, [2]string{"battle: lost} # in", "outcome: sack} # in"}},
		"the only one":         {6, "marlow", "lost", Edit{Verb: Set, Play: 9, Field: "down", Value: "2"}, Value{"battle", "won"}, [2]string{"9 bull lost", "9 bull won"}},
		"the only one no more": {6, "marlow", "lost", Edit{Verb: Add, Play: 6, Rep: "wren", Values: []Value{{"battle", "won"}}}, Value{"battle", "won"}, [2]string{"    # all of them\n    reps: # one\n      # above\n      - 91 9 bull lost # a line\n\n", "    reps:\n      # above\n      - 91 9 bull won # a line\n      - rusher: wren\n        battle: won\n\n"}},
	} {
		test := func(t *testing.T, lines *strings.Replacer) {
			d := opened(t, lines.Replace(text))
			if _, err := d.Do(Edit{Verb: Set, Play: c.play, Rep: c.who, Field: "battle", Was: c.was}); err != nil {
				t.Fatal(err)
			}
			d.Close()
			d = reopened(t, d.path)
			if _, err := d.Do(c.meant); err != nil {
				t.Fatal(err)
			}
			if _, err := d.Do(Edit{Verb: Set, Play: c.play, Rep: c.who, Field: c.result.Field, Value: c.result.Text}); err != nil {
				t.Fatal(err)
			}
			want := strings.Replace(text, c.want[0], c.want[1], 1)
			switch c.meant.Field {
			case "down":
				want = strings.Replace(want, "play: 9\n", "play: 9\n    down: 2\n", 1)
			case "outcome":
				want = strings.Replace(want, "1 bull lost", "1 bull lost hurry", 1)
			}
			if diff := cmp.Diff(lines.Replace(want), onDisk(t, d)); diff != "" {
				t.Error(diff)
			}
		}
		t.Run(name, func(t *testing.T) { test(t, strings.NewReplacer()) })
		t.Run(name+", lines as on Windows", func(t *testing.T) { test(t, strings.NewReplacer("\n", "\r\n")) })
	}
}
