package query

import (
	"context"
	"errors"
	"runtime"
	"strings"
	"testing"
	"time"

	"trenchcut/tags"
)

func oneRep(t *testing.T) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	g, faults := tags.ParseGame("wk1.game.yaml", []byte(`trenchcut: 1
game: {id: wk1}
film: {endzone: {file: end.mp4}}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
plays:
  - {play: 1, type: dropback, in: 1s, out: 4s, reps: [91 9 spin short won]}
`), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	return &tags.Season{Games: []*tags.Game{g}, Vocabulary: v}
}

// nested is n loops within one another, each over ten numbers.
func nested(n int) string {
	const ten = "[0,1,2,3,4,5,6,7,8,9].all("
	var b strings.Builder
	for i := range n {
		b.WriteString(ten + string(rune('a'+i)) + ", ")
	}
	return b.String() + `"spin" in move` + strings.Repeat(")", n)
}

func TestCostlyConditions(t *testing.T) {
	season := oneRep(t)
	for name, c := range map[string]struct {
		where  string
		costly bool
	}{
		"one loop":             {`move.exists(m, m.startsWith("sp"))`, false},
		"two loops":            {nested(2), false},
		"three loops":          {nested(3), false},
		"eight loops":          {nested(8), true},
		"a chain of map":       {"[0,1,2,3,4,5,6,7,8,9]" + strings.Repeat(".map(x, [x,x,x,x,x,x,x,x,x,x])", 20) + ".exists(x, true)", true},
		"maps in maps":         {"[[0,1,2,3,4,5,6,7,8,9]" + strings.Repeat(".map(x, [0,1,2,3,4,5,6,7,8,9]", 9) + strings.Repeat(")", 9) + "].exists(x, true)", true},
		"text that doubles":    {`["spin"]` + strings.Repeat(".map(x, x + x)", 40) + ".exists(x, true)", true},
		"a list that doubles":  {"[[1]]" + strings.Repeat(".map(x, x + x)", 40) + ".exists(x, x.all(y, y == 1))", true},
		"a list of all of one": {"[[1]]" + strings.Repeat(".map(x, x + x)", 12) + ".exists(x, x.all(y, y == 1))", false},
	} {
		t.Run(name, func(t *testing.T) {
			q, err := Parse(nil, c.where, season.Vocabulary, season)
			if err != nil {
				t.Fatal(err)
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			err = q.Judge(context.Background(), season)
			runtime.ReadMemStats(&after)
			if costly := errors.Is(err, ErrCostly); costly != c.costly || !costly && err != nil {
				t.Errorf("error %v, want costly %v", err, c.costly)
			}
			reps := q.Reps(season)
			if !c.costly && len(reps.Reps) != 1 || c.costly && len(reps.Reps) != 0 {
				t.Errorf("chosen %+v", reps)
			}
			taken := (after.TotalAlloc - before.TotalAlloc) >> 20
			t.Logf("%d MB were taken in all", taken)
			if taken > 200 {
				t.Errorf("%d MB were taken in all, want 200 at most", taken)
			}
		})
	}
}

// What cannot be ended from within, since it is one step, is left alone when the work is stopped.
func TestStoppedCondition(t *testing.T) {
	season := oneRep(t)
	const endless = 60 // 2 to this power comparisons
	where := "[[1]]" + strings.Repeat(".map(x, [x, x])", endless) + ".exists(x, x == x)"
	q, err := Parse(nil, where, season.Vocabulary, season)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer stop()
	if err := q.Judge(ctx, season); !errors.Is(err, context.DeadlineExceeded) && !errors.Is(err, ErrCostly) {
		t.Errorf("error %v, want that it was stopped or costs too much", err)
	} else {
		t.Log(err)
	}
}
