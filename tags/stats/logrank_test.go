package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"trenchcut/tags"
)

// The order of groups changes nothing, and what is expected adds up to what was seen.
func TestCompareGroupsInAnyOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	for range 100 {
		groups := make([]Ranked, 3+r.IntN(4))
		for i := range groups {
			groups[i] = Ranked{fmt.Sprint(i), randomWatches(r)}
		}
		a := CompareGroups(groups)
		r.Shuffle(len(groups), func(i, j int) { groups[i], groups[j] = groups[j], groups[i] })
		b := CompareGroups(groups)
		if a.Degrees != b.Degrees || math.Abs(a.ChiSquare-b.ChiSquare) > 1e-8*(1+a.ChiSquare) {
			t.Fatalf("%+v, in another order %+v", a, b)
		}
		seen, expected := 0, 0.0
		for _, g := range a.Groups {
			seen += g.Observed
			expected += g.Expected
		}
		if math.Abs(float64(seen)-expected) > 1e-9 {
			t.Fatalf("%d beaten, %g expected", seen, expected)
		}
	}
}

func TestCompareGroupsOfNothing(t *testing.T) {
	held := []Watch{{Until: 2 * tags.Second}, {Until: 3 * tags.Second}}
	beaten := []Watch{{Until: 2 * tags.Second, Beat: true}, {Until: 3 * tags.Second}}
	for name, groups := range map[string][]Ranked{
		"none": nil, "one": {{"a", beaten}}, "nobody beaten": {{"a", held}, {"b", held}},
		"nobody to be beaten in the other": {{"a", beaten}, {"b", nil}},
	} {
		if test := CompareGroups(groups); test.Degrees != 0 || test.P != 1 {
			t.Errorf("%s: %+v, want no test", name, test)
		}
	}
}

func TestTimesDiffer(t *testing.T) {
	var plays string
	for i := range 12 {
		move := []string{"rip", "bull", "[bull, rip]"}[i%3]
		plays += play(i+1, "dropback", fmt.Sprintf("rusher: a, move: %s, battle: won, marks: {beat: +%d.%ds}", move, 1+i%2, i))
	}
	reps, _ := season(t, plays)
	by := func(names ...string) func(*tags.Rep) []string {
		return func(r *tags.Rep) []string { return names[r.Play.Number%len(names):][:1] }
	}
	if test, overlap := Dropbacks.TimesDiffer(reps, by("x", "y")); overlap || test == nil || len(test.Groups) != 2 {
		t.Errorf("%+v, %v, want a test of two groups", test, overlap)
	}
	// Groups of four are too few, and of the rest it is not known.
	if test, overlap := Dropbacks.TimesDiffer(reps, by("x", "y", "")); overlap || test != nil {
		t.Errorf("%+v, %v, want no test", test, overlap)
	}
	moves := func(r *tags.Rep) (names []string) {
		for _, m := range r.Moves {
			names = append(names, m.Name)
		}
		return names
	}
	if test, overlap := Dropbacks.TimesDiffer(reps, moves); !overlap || test != nil {
		t.Errorf("%+v, %v, want no test of groups that overlap", test, overlap)
	}
}
