package stats

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
	"trenchcut/tags/invent"
)

// everything is every table of reps, as JSON read back.
func everything(t *testing.T, reps []*tags.Rep, v *tags.Vocabulary) map[string]any {
	t.Helper()
	set := func(r *tags.Rep) []string { return []string{r.Set} }
	var inside, outside []*tags.Rep
	for _, r := range reps {
		switch r.Path() {
		case "inside":
			inside = append(inside, r)
		case "outside":
			outside = append(outside, r)
		}
	}
	data, err := json.Marshal(map[string]any{
		"rates":    Dropbacks.Summarise(reps, v),
		"by":       By(Dropbacks.Counted(reps), set),
		"like":     Likes(Dropbacks.Counted(reps), func(r *tags.Rep) []string { return []string{r.Path()} }),
		"time":     Dropbacks.TimesToBeat(reps, set),
		"hold":     Dropbacks.Holds(reps, set),
		"sequence": Dropbacks.Sequence(reps, reps),
		"tendency": Tendencies(Dropbacks.Rushes(reps), "set", set, strings.Compare),
		"getoff":   GetOffs(reps, Rusher, func(*tags.Rep) tags.Rate { return tags.Rate{Num: 30, Den: 1} }),
		"run":      Runs(reps, v),
		"stunt":    Dropbacks.StuntsOf(reps, v),
		"contain":  Contains(reps),
		"reads":    Reads(seenShort(Readers(reps)), []string{"short-set"}),
		"grades":   Grades(reps),
		"season":   Dropbacks.Seasons(reps, set),
		"against":  Against(Half{Set{"inside", inside}, Dropbacks}, Half{Set{"outside", outside}, Dropbacks}),
		"rooms":    Dropbacks.Rooms(reps),
		"pairs":    Dropbacks.PairsOf(reps),
		"expected": Dropbacks.ExpectedOf(reps),
		"log-rank": differ(Dropbacks.TimesDiffer(reps, set)),
	})
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	for name, table := range all {
		if n := leaves(table); n < 7 {
			t.Fatalf("table %s holds only %d figures: it would prove little", name, n)
		}
	}
	return all
}

// differ is a test alone.
func differ(test *LogRanks, _ bool) *LogRanks { return test }

// seenShort is one read, worked out without the query language.
func seenShort(reps []*tags.Rep) []Seen {
	var seen []Seen
	for _, r := range reps {
		s := Seen{Rep: r, Judged: len(r.Moves) > 0}
		if r.Set == "short" {
			s.There = []string{"short-set"}
			if s.Judged && r.FirstFamily() == "hands" {
				s.Taken = s.There
			} else if s.Judged {
				s.Others = s.There
			}
		}
		seen = append(seen, s)
	}
	return seen
}

func leaves(value any) int {
	n := 0
	switch value := value.(type) {
	case map[string]any:
		for _, v := range value {
			n += leaves(v)
		}
	case []any:
		for _, v := range value {
			n += leaves(v)
		}
	default:
		return 1
	}
	return n
}

// games is the tag files of an invented season.
func games(seed uint64, n, reps int) (files []string) {
	for i := range n {
		_, text := invent.Game(seed, i, reps)
		files = append(files, string(text))
	}
	return files
}

func parse(t *testing.T, files []string) ([]*tags.Rep, *tags.Vocabulary) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for i, text := range files {
		game, faults := tags.ParseGame(fmt.Sprintf("%d.game.yaml", i), []byte(text), v)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, game)
	}
	return s.Reps(), v
}

func TestOrderAndRepeatsChangeNothing(t *testing.T) {
	reps, v := parse(t, games(7, 4, 200))
	want := everything(t, reps, v)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range 5 {
		again := append(slices.Clone(reps), reps[:50]...)
		if i > 0 { // the first time all is in order, but for those that stand there twice
			r.Shuffle(len(again), func(i, j int) { again[i], again[j] = again[j], again[i] })
		}
		if diff := cmp.Diff(want, everything(t, again, v)); diff != "" {
			t.Fatalf("another order, and fifty reps twice (-want +got):\n%s", diff)
		}
	}
}

func TestOnce(t *testing.T) {
	reps, _ := parse(t, games(3, 2, 60))
	r := rand.New(rand.NewPCG(2, 2))
	for range 2000 {
		var list []*tags.Rep
		different := map[*tags.Rep]bool{}
		for range r.IntN(5) {
			rep := reps[r.IntN(len(reps))]
			if r.IntN(2) == 0 {
				rep = reps[r.IntN(8)] // of a few plays
			}
			list = append(list, rep)
			different[rep] = true
		}
		if got := once(list); len(got) != len(different) {
			t.Fatalf("%d reps are %d different ones, not %d", len(list), len(different), len(got))
		}
	}
}

// A game that goes on in a second file, as film of a second half may, is the same reps.
func TestSplittingAFileChangesNothing(t *testing.T) {
	files := games(8, 3, 200)
	reps, v := parse(t, files)
	want := everything(t, reps, v)
	var halves []string
	for _, text := range files {
		head, plays, ok := strings.Cut(text, "\nplays:\n")
		const mark = "  - play: "
		list := strings.Split(plays, mark)[1:]
		if !ok || len(list) < 10 {
			t.Fatalf("a game of %d plays", len(list))
		}
		half := len(list) / 2
		id, _, _ := strings.Cut(head[strings.Index(head, "{id: ")+len("{id: "):], ",")
		second := strings.Replace(head, "{id: "+id, "{id: "+id+"-2nd", 1)
		halves = append(halves,
			head+"\nplays:\n"+mark+strings.Join(list[:half], mark),
			second+"\nplays:\n"+mark+strings.Join(list[half:], mark))
	}
	reps, v = parse(t, halves)
	if diff := cmp.Diff(want, everything(t, reps, v)); diff != "" {
		t.Errorf("in twice as many files (-want +got):\n%s", diff)
	}
}

// Whoever loses once more has no better rate of anything that is good, in any table.
func TestALossNeverRaisesARateOfAnyTable(t *testing.T) {
	good := []string{"Won", "Pressure", "Sack", "BeatInTime", "PlayPressure", "Penetration", "Stop", "Edge", "Kept", "WonTaken", "WonMissed"}
	files := games(9, 2, 150)
	reps, v := parse(t, files)
	before := everything(t, reps, v)
	looked := 0
	for _, loss := range []string{
		"battle: lost, outcome: no-factor, blocker: {set: short}, move: [rip], marks: {finish: +3s}",
		"battle: lost, outcome: no-factor, blocker: {set: short}, move: [bull], contain: lost, stunt: pirate, job: looper",
	} {
		for _, kind := range []string{"dropback", "run"} {
			if kind == "run" {
				loss = strings.Replace(loss, "job: looper", "job: run-fit", 1)
			}
			more := slices.Clone(files)
			more[1] += fmt.Sprintf("\n  - {play: 999, type: %s, in: 9:00:00, out: 9:00:09, marks: {snap: 9:00:03}, reps: [{rusher: us-a, %s}]}\n", kind, loss)
			reps, v := parse(t, more)
			after := everything(t, reps, v)
			pairs(before, after, "", func(path, key string, a, b map[string]any) {
				if !slices.Contains(good, key) || a["N"].(float64) == 0 {
					return
				}
				looked++
				was, is := a["K"].(float64)/a["N"].(float64), b["K"].(float64)/b["N"].(float64)
				if is > was {
					t.Errorf("%s rose from %g to %g with one more loss on a %s: %s", path, was, is, kind, loss)
				}
			})
		}
	}
	if looked < 500 {
		t.Errorf("only %d rates were looked at", looked)
	}
}

// pairs calls see with every rate that stands in a and in b alike, things in lists being
// found by their names.
func pairs(a, b any, path string, see func(path, key string, a, b map[string]any)) {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok {
			return
		}
		if _, rate := a["K"]; rate {
			see(path, path[strings.LastIndex(path, "/")+1:], a, b)
		}
		for key := range a {
			pairs(a[key], b[key], path+"/"+key, see)
		}
	case []any:
		list, _ := b.([]any)
		for _, x := range a {
			for _, y := range list {
				if n := nameOf(x); n != "" && n == nameOf(y) {
					pairs(x, y, path+"["+n+"]", see)
				}
			}
		}
	}
}

func nameOf(value any) string {
	fields, _ := value.(map[string]any)
	for _, key := range []string{"Name", "Shown", "Date"} {
		if name, ok := fields[key].(string); ok {
			return fmt.Sprint(name, fields["Twice"])
		}
	}
	return ""
}

// Over counts drawn by chance alone, Wilson's interval holds the true rate about 95 times
// in 100 on the whole, and never much less often.
func TestWilsonCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(1927, 4))
	const trials = 4000
	mean, cases := 0.0, 0
	for _, n := range []int{5, 8, 12, 20, 40, 100} {
		for _, p := range []float64{0.1, 0.2, 0.35, 0.5, 0.7} {
			held := 0
			for range trials {
				c := Count{N: n}
				for range n {
					if r.Float64() < p {
						c.K++
					}
				}
				if low, high := c.Interval(); low <= p && p <= high {
					held++
				}
			}
			share := float64(held) / trials
			mean += share
			cases++
			if share < 0.89 || share > 0.999 {
				t.Errorf("rate %g, n %d: the interval holds the truth %.3f of the time", p, n, share)
			}
		}
	}
	if mean /= float64(cases); mean < 0.94 || mean > 0.965 {
		t.Errorf("the interval holds the truth %.4f of the time on the whole", mean)
	}
}
