package tags

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// What a room calls a thing is read as the word for it (common practice).
func TestWordsOfTheRoom(t *testing.T) {
	v := vocabulary(t)
	for _, test := range []struct{ list, says, means string }{
		{"move", "swim", "arm-over"},
		{"move", "snatch", "bull-and-pull"},
		{"move", "push-pull", "bull-and-pull"},
		{"move", "double-swipe", "swipe"},
		{"move", "hesi", "hesitation"},
		{"move", "bull-rushes", "bull"},
		{"move", "Spins", "spin"},
		{"set", "45", "angle"},
		{"set", "quick-set", "jump"},
		{"stunt", "T/E", "tackle-end"},
		{"stunt", "E/T", "end-tackle"},
		{"stunt", "t-e", "tackle-end"},
		{"align", "shade", "1"},
		{"align", "Wide 9", "wide-9"},
		{"type", "Draw", "draw"},
		{"type", "rollout", "sprint-out"},
		{"type", "FG", "field-goal"},
		{"type", "kick-off", "kickoff"},
		{"type", "extra-points", "extra-point"},
		{"block", "combo", "combo"},
		{"block", "scoops", "scoop"},
		{"block", "trap-block", "trap"},
		{"how", "driven", "driven-back"},
		{"how", "kicked-out", "kicked-out"},
		{"penalty", "roughing-the-passer", "roughing"},
		{"penalty", "Targeting", "targeting"},
		{"penalty", "neutral-zone-infraction", "encroachment"},
		{"penalty", "low-hits", "low-hit"},
	} {
		if w, ok := v.List(test.list).Read(test.says); !ok || w.Name != test.means {
			t.Errorf("%s %q is read as %q, %t, want %s", test.list, test.says, w.Name, ok, test.means)
		}
	}
	if w, ok := v.List("move").Read("swimm"); ok {
		t.Errorf("swimm is read as %s", w.Name)
	}
}

// No way to say a word is that of two words of one list, in capitals or in the plural either.
func TestNoAliasIsTwoWords(t *testing.T) {
	v := vocabulary(t)
	for key, list := range v.Lists {
		said := map[string]string{}
		for _, w := range list.Words {
			for _, name := range w.names() {
				for _, form := range append([]string{name}, Singulars(name)...) {
					form = foldWord(form)
					if other, ok := said[form]; ok && other != w.Name {
						t.Errorf("%s %q is said of %s and of %s", key, form, other, w.Name)
					}
					said[form] = w.Name
				}
			}
		}
	}
}

// A word of the trade is never taken for another: not in a list that does not have it, and
// not for being in none.
func TestNoSuggestionOfAnotherMeaning(t *testing.T) {
	v := vocabulary(t)
	said := map[string]bool{}
	for _, list := range v.Lists {
		for _, w := range list.Words {
			for _, name := range w.names() {
				said[name] = true
			}
		}
	}
	for _, word := range slices.Concat(slices.Sorted(maps.Keys(said)), tradeWords) {
		for key, list := range v.Lists {
			if w, ok := list.Read(word); ok && slices.Contains(tradeWords, word) {
				t.Errorf("%q is listed as a word that no list has, but it is %s %s", word, key, w.Name)
			}
			if hint := v.DidYouMean(key, word); strings.Contains(hint, "did you mean") {
				if _, ok := list.Read(word); !ok {
					t.Errorf("%s %q: %s", key, word, hint)
				}
			}
		}
	}
	// What is misspelt is still helped, by what the room says as well.
	for _, test := range []struct{ list, text, want string }{
		{"move", "spinn", `did you mean "spin"?`},
		{"move", "siwm", `did you mean "swim", which is arm-over?`},
		{"set", "bull", `"bull" is a word of move`},
		{"align", "12", ""},
		{"outcome", "hury", `did you mean "hurry"?`},
	} {
		if got := v.DidYouMean(test.list, test.text); got != test.want && (test.want != "" || strings.Contains(got, "did you mean")) {
			t.Errorf("%s %q: %s, want %s", test.list, test.text, got, test.want)
		}
	}
}

// Every word of the vocabulary is read as itself wherever a tag file may hold it, and so is
// each of its aliases.
func TestEveryWordIsRead(t *testing.T) {
	v := vocabulary(t)
	read := func(play string) *Play {
		t.Helper()
		g, faults := parseText(t, "  - {play: 1, in: 1s, out: 9s, "+play+"}\n")
		if len(faults) > 0 {
			t.Fatalf("%s: %v", play, faults)
		}
		return g.Plays[0]
	}
	const plain, listed = "%s: %q", "%s: [%q]"
	form := map[Kind]string{KindWord: plain, KindWords: listed}
	value := func(at any) string {
		switch at := at.(type) {
		case *string:
			return *at
		case *[]string:
			return strings.Join(*at, " ")
		}
		return ""
	}
	for _, f := range PlayFields {
		for _, w := range v.List(f.WordList()).Words {
			for _, name := range w.names() {
				if got := value(f.At(read(fmt.Sprintf(form[f.Kind], f.FileKey(), name)))); got != w.Name {
					t.Errorf("%s %s of a play is read as %q, want %s", f.Name, name, got, w.Name)
				}
			}
		}
	}
	for _, f := range RepFields {
		for _, w := range v.List(f.WordList()).Words {
			for _, name := range w.names() {
				said := fmt.Sprintf(form[f.Kind], f.FileKey(), name)
				if f.Under != "" {
					said = f.Under + ": {" + said + "}"
				}
				if f.Name != "battle" && f.Name != "outcome" {
					said += ", battle: won"
				}
				if got := value(f.At(read("reps: [{rusher: oke, " + said + "}]").Reps[0])); got != w.Name {
					t.Errorf("%s %s of a rep is read as %q, want %s", f.Name, name, got, w.Name)
				}
			}
		}
	}
	one := map[string]bool{}
	for _, f := range oneLine {
		for _, w := range v.List(f.WordList()).Words {
			for _, name := range w.names() {
				if _, move := v.List("move").Find(name); move || one[name] {
					continue // it means something else on one line
				}
				one[name] = true
				line := "oke " + name
				if f.Name != "battle" && f.Name != "outcome" {
					line += " won"
				}
				if got := value(f.At(read("reps: [" + line + "]").Reps[0])); got != w.Name {
					t.Errorf("%s %s on one line is read as %q, want %s", f.Name, name, got, w.Name)
				}
			}
		}
	}
	for _, w := range v.List("move").Words {
		for _, name := range w.names() {
			for _, rep := range []string{"oke " + name + " won", "{rusher: oke, move: " + name + ", battle: won}", "{rusher: oke, move: [" + name + "], battle: won}"} {
				if got := read("reps: [" + rep + "]").Reps[0].Moves; len(got) != 1 || got[0] != (Move{w.Name, w.Path}) {
					t.Errorf("%s is read as %v, want %s", rep, got, w.Name)
				}
			}
		}
	}
}
