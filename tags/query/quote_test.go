package query

import (
	"strings"
	"testing"
	"unicode/utf8"

	"trenchcut/tags"
)

// called is a season of a play for each call.
func called(t testing.TB, calls ...string) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	g := &tags.Game{ID: "wk1"}
	for i, call := range calls {
		g.Plays = append(g.Plays, &tags.Play{Game: g, Number: i + 1, Call: call})
	}
	return &tags.Season{Games: []*tags.Game{g}, Vocabulary: v}
}

func TestQuotedValues(t *testing.T) {
	s := called(t, "Trips, Right", "Trips", "Right", `6" split`, "Nickel 3")
	for term, want := range map[string]string{
		`call="Trips, Right"`:       "1",
		`call=Trips`:                "2",
		`call=Trips,Right`:          "23",
		`call="Trips","Right"`:      "23",
		`call="Trips, Right",Trips`: "12",
		`call!="Trips, Right"`:      "2345",
		`call="6"" split"`:          "4",
		`call=6" split`:             "4",
		`call=Nickel 3`:             "5",
		`play>="4"`:                 "45",
	} {
		q, err := Parse([]string{term}, "", s.Vocabulary, s)
		if err != nil {
			t.Errorf("%s: %v", term, err)
			continue
		}
		got := ""
		for _, p := range q.Plays(s).Plays {
			got += string(rune('0' + p.Number))
		}
		if got != want {
			t.Errorf("%s: got plays %s, want %s", term, got, want)
		}
	}
	// What the shell made of call="Trips, Right" with nothing around it.
	q, err := Parse([]string{"call=Trips, Right"}, "", s.Vocabulary, s)
	if err != nil {
		t.Fatal(err)
	}
	counts, err := q.ByTerm(s, true)
	if want := `did you mean 'call="Trips, Right"'?`; err != nil || counts[0].Hint != want {
		t.Errorf("got %+v, %v, want the hint %s", counts, err, want)
	}
	if q, err := Parse([]string{`call="Trips, Right"`}, "", s.Vocabulary, s); err != nil || q.String() != "call Trips, Right" {
		t.Errorf("a slate says %q, %v", q, err)
	}
}

// A yes-or-no key is a term by itself, and a choice of that name goes before it.
func TestKeyAlone(t *testing.T) {
	s := load(t)
	for _, key := range []string{"inside-counter", "pressure", "one-on-one", "qb-runs"} {
		alone, err := Parse([]string{key}, "", s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		yes, err := Parse([]string{key + "=yes"}, "", s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		a, b := alone.Reps(s), yes.Reps(s)
		if len(a.Reps) == 0 && key != "one-on-one" || len(a.Reps) != len(b.Reps) || a.Unknown != b.Unknown {
			t.Errorf("%s: %d reps and %d unknown, with =yes %d and %d", key, len(a.Reps), a.Unknown, len(b.Reps), b.Unknown)
		}
		if alone.String() != tags.Spoken(key) {
			t.Errorf("%s: a slate says %q", key, alone)
		}
	}
	s.Vocabulary.Choices["pressure"] = tags.Choice{Terms: []tags.Term{{Text: "outcome=hurry"}}}
	q, err := Parse([]string{"pressure"}, "", s.Vocabulary, s)
	if err != nil || len(q.Reps(s).Reps) != 0 {
		t.Errorf("the staff's choice does not go before the key: %v", err)
	}
}

// Whatever a call is, the term made of it finds its play and no other.
func FuzzTermFinds(f *testing.F) {
	for _, value := range []string{"short", "Trips, Right", `"`, `a"b`, ",", " ", "a=b", `\`, "\u2028", "…"} {
		f.Add(value)
	}
	f.Fuzz(func(t *testing.T, value string) {
		if value == "" || !utf8.ValidString(value) || strings.ContainsRune(value, 0) {
			t.Skip("no tag file holds it")
		}
		s := called(t, value, value+"x", "x"+value)
		q, err := Parse([]string{tags.TermOf("call", value)}, "", s.Vocabulary, s)
		if err != nil {
			t.Fatalf("%q: %v", value, err)
		}
		if plays := q.Plays(s).Plays; len(plays) != 1 || plays[0].Number != 1 {
			t.Errorf("%q: %s finds %d plays", value, tags.TermOf("call", value), len(plays))
		}
	})
}

// Every word of the vocabulary, and each of its aliases, may be asked for.
func TestEveryWordIsATerm(t *testing.T) {
	s := load(t)
	r := NewRegistry(s.Vocabulary, s)
	tried := 0
	for _, f := range r.Facts {
		for _, w := range s.Vocabulary.List(f.list).Words {
			for _, name := range append([]string{w.Name}, w.Also...) {
				got, err := r.parseTerm(tags.TermOf(f.Name, name))
				want, _ := r.parseTerm(tags.TermOf(f.Name, w.Name))
				if err != nil || got.cel != want.cel || !strings.Contains(got.cel, `"`+w.Name+`"`) {
					t.Errorf("%s=%s asks for %s, want %s: %v", f.Name, name, got.cel, want.cel, err)
				}
				tried++
			}
		}
	}
	if tried < 300 {
		t.Errorf("only %d words were tried", tried)
	}
}
