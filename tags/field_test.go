package tags

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

func TestRegister(t *testing.T) {
	v := vocabulary(t)
	checkRegister(t, v, PlayFields)
	checkRegister(t, v, RepFields)
	names := map[string]bool{}
	for _, f := range PlayFields {
		names[f.Name] = true
	}
	for _, f := range RepFields {
		if names[f.Name] {
			t.Errorf("%s is a field of plays and of reps", f.Name)
		}
	}
}

// checkRegister holds each field to what its kind promises of it.
func checkRegister[T any](t *testing.T, v *Vocabulary, fields []*Field[T]) {
	t.Helper()
	types := map[Kind][]string{
		KindWord: {"*string"}, KindText: {"*string"}, KindClock: {"*string"}, KindWhole: {"*int", "**int"},
		KindYesNo: {"*string"}, KindPerson: {"**tags.Person"}, KindWords: {"*[]string"}, KindTexts: {"*[]string"},
	}
	var x T
	places, keys := map[any]string{}, map[string]string{}
	for _, f := range fields {
		at := f.At(&x)
		if got := fmt.Sprintf("%T", at); !slices.Contains(types[f.Kind], got) {
			t.Errorf("%s is of kind %d, and a %s", f.Name, f.Kind, got)
		}
		if other, taken := places[at]; taken {
			t.Errorf("%s and %s are one value", f.Name, other)
		}
		places[at] = f.Name
		key := f.Under + "/" + f.FileKey()
		if other, taken := keys[key]; taken {
			t.Errorf("%s and %s have one key %s", f.Name, other, key)
		}
		keys[key] = f.Name
		if list := f.WordList(); list != "" && len(v.List(list).Words) == 0 {
			t.Errorf("%s: the vocabulary has no words for %s", f.Name, list)
		}
		if f.Doc == "" || strings.HasSuffix(f.Doc, ".") {
			t.Errorf("%s: its doc is %q", f.Name, f.Doc)
		}
		if (f.Kind == KindWhole) != (f.Most > f.Least) {
			t.Errorf("%s has bounds %d to %d", f.Name, f.Least, f.Most)
		}
		if f.OneLine && f.Kind != KindWord && f.Kind != KindWords {
			t.Errorf("%s is no word, and cannot stand on a one-line rep", f.Name)
		}
	}
}

func TestFieldText(t *testing.T) {
	three := 3
	p := &Play{Number: 14, Type: "dropback", Down: &three, Passer: &Person{ID: "reed"}}
	want := map[string]string{"play": "14", "type": "dropback", "down": "3", "qb": "reed"}
	for _, f := range PlayFields {
		if got := f.Text(p); got != want[f.Name] {
			t.Errorf("%s is %q, want %q", f.Name, got, want[f.Name])
		}
	}
	for _, f := range RepFields {
		want := map[string]string{"loaf": "yes"}[f.Name]
		if got := f.Text(&Rep{Loaf: "yes"}); got != want {
			t.Errorf("%s is %q, want %q", f.Name, got, want)
		}
	}
}

func TestPlayKeysBefore(t *testing.T) {
	for key, want := range map[string]string{
		"play": "", "unit": "play type", "no such key": strings.Join(PlayKeysBefore("angles"), " ") + " angles marks",
	} {
		if got := strings.Join(PlayKeysBefore(key), " "); got != want {
			t.Errorf("before %s stand %q, want %q", key, got, want)
		}
	}
	if got := PlayKeysBefore("angles"); !slices.Equal(got[len(got)-3:], []string{"extra", "in", "out"}) {
		t.Errorf("before angles stand %q", got)
	}
}
