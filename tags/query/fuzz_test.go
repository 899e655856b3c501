package query

import (
	"errors"
	"testing"
	"unicode/utf8"
)

// Whatever is asked, it is answered or refused with a place in what was asked.
func FuzzParse(f *testing.F) {
	for _, term := range []string{"set=short", "move!=spin,rip", "time-to-beat<=2.2s", "inside-counter", "clock<2:00", "rusher=Teo Marlow", "tagged!=set", "read-missed=overset", "a==b", "=", "ʻ=x"} {
		f.Add(term, "")
	}
	for _, where := range []string{`set in ["short", 'jump'] && "spin" in move`, `tagged.exists(f, f == "set")`, `"overset" in read || !(down > 2)`, "set ==\n  \"bull-rush\" // x", `"\u0073et" == set`, `move == "bull-rush"`} {
		f.Add("set=short", where)
	}
	s := load(f)
	f.Fuzz(func(t *testing.T, term, where string) {
		q, err := Parse([]string{term}, where, s.Vocabulary, s)
		if err == nil {
			q.Reps(s)
			q.Plays(s)
			_ = q.String()
			return
		}
		var es Errors
		if !errors.As(err, &es) {
			t.Skip("refused by what compiles expressions")
		}
		for _, e := range es {
			if e.What == "" || e.Offset < 0 || e.Offset > utf8.RuneCountInString(e.Term)+1 {
				t.Errorf("%q %q: no place in it: %+v", term, where, e)
			}
		}
	})
}
