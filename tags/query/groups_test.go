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
