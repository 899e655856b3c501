package query_test

import (
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

func TestDuringTerms(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for term, want := range map[string]string{
		"path=inside": "path", "last-move=rip": "last-move", "inside-counter": "inside-counter", "move=spin": "move", "moves>=2": "moves",
		"first-move=rip": "", "first-family=power": "", "set=short": "", "down=3": "",
	} {
		q, err := query.Parse([]string{term}, "", v, &tags.Season{Vocabulary: v})
		if err != nil {
			t.Errorf("%q: %v", term, err)
			continue
		}
		if got := strings.Join(q.DuringTerms(), " "); got != want {
			t.Errorf("%q: %q, want %q", term, got, want)
		}
	}
}

func TestByResult(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		terms []string
		where string
		want  bool
	}{
		{nil, "", false},
		{[]string{"set=short", "inside-counter"}, "", false},
		{[]string{"battle=won"}, "", true},
		{[]string{"outcome!=sack"}, "", true},
		{[]string{"set=short"}, "time_to_beat < 2.5", true},
		{[]string{"pressure=yes"}, "", true},
		{nil, `call == "battle"`, false},
		{nil, `down == 3 || sack`, true},
		{nil, `"time-to-beat" in tagged`, true},
		{nil, `"set" in tagged`, false},
		{[]string{"tagged!=outcome"}, "", true},
		{[]string{"contain=kept"}, "", true},
		{[]string{"contain=had"}, "", true},
		{[]string{"loaf=yes"}, "", true},
		{[]string{"point=*"}, "", true},
		{nil, "time_to_release > 3.0", true},
		{nil, "time_to_getoff < 0.2", false},
		{nil, `tagged.exists(t, t.startsWith("time-to-b"))`, true},
		{nil, `size(tagged) > 12`, true},
		{nil, `"set" in tagged && 'hands' in tagged`, false},
		{nil, `call == "in tagged"`, false},
	} {
		q, err := query.Parse(c.terms, c.where, v, &tags.Season{Vocabulary: v})
		if err != nil {
			t.Errorf("%q %q: %v", c.terms, c.where, err)
			continue
		}
		if got := q.ByResult(); got != c.want {
			t.Errorf("%q %q: %v, want %v", c.terms, c.where, got, c.want)
		}
	}
}
