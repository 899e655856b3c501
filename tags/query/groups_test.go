package query

import (
	"slices"
	"testing"

	"trenchcut/tags"
)

func TestCrossed(t *testing.T) {
	f := func(name string, groups ...string) Fact {
		return Fact{Name: name, Kind: List, of: func(subject) (any, bool) { return groups, groups != nil }}
	}
	r := &tags.Rep{Play: &tags.Play{}}
	for _, c := range []struct {
		facts []Fact
		name  string
		want  []string
	}{
		{[]Fact{f("a", "x", "y")}, "a", []string{"x", "y"}},
		{[]Fact{f("a", "x", "y"), f("b", "z")}, "a, b", []string{"x, z", "y, z"}},
		{[]Fact{f("a", "x", "y"), f("b", "z", "w"), f("c")}, "a, b, c", []string{"x, z, not tagged", "x, w, not tagged", "y, z, not tagged", "y, w, not tagged"}},
		{[]Fact{f("a"), f("b")}, "a, b", nil},
	} {
		crossed := Crossed(c.facts...)
		if got := crossed.Groups(r); crossed.Name != c.name || !slices.Equal(got, c.want) {
			t.Errorf("%s has groups %q, want %s with %q", crossed.Name, got, c.name, c.want)
		}
	}
}

// Groups by what goes in steps stand in its order, whichever has the most reps; others stay.
func TestGroupsInSteps(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	registry := NewRegistry(v, &tags.Season{Vocabulary: v})
	find := func(name string) Fact {
		f, ok := registry.Find(name)
		if !ok {
			t.Fatalf("no fact %s", name)
		}
		return f
	}
	for _, c := range []struct {
		fact       Fact
		have, want []string
	}{
		{find("quarter"), []string{"4", tags.NotTagged, "10", "1", "2"}, []string{"1", "2", "4", "10", tags.NotTagged}},
		{find("date"), []string{"2026-10-02", "2026-09-11"}, []string{"2026-09-11", "2026-10-02"}},
		{find("down-class"), []string{"third-short", "second-long", "first-down", "third-long"}, []string{"first-down", "second-long", "third-long", "third-short"}},
		{find("set"), []string{"short", "vertical", "angle"}, []string{"short", "vertical", "angle"}},
		{Crossed(find("quarter"), find("set")), []string{"2, short", "1, vertical", "2, angle", "1, short"}, []string{"1, vertical", "1, short", "2, short", "2, angle"}},
		{Crossed(find("quarter"), find("down")), []string{"2, 1", "1, 3", "2, not tagged", "1, 2"}, []string{"1, 2", "1, 3", "2, 1", "2, not tagged"}},
		{Crossed(find("set"), find("quarter")), []string{"short, 2", "angle, 1", "short, 1"}, []string{"short, 2", "angle, 1", "short, 1"}},
	} {
		got := slices.Clone(c.have)
		slices.SortStableFunc(got, c.fact.CompareGroups)
		if !slices.Equal(got, c.want) {
			t.Errorf("by %s: %q, want %q", c.fact.Name, got, c.want)
		}
	}
}
