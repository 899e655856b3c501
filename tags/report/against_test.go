package report

import (
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
	"trenchcut/tags/query"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestApart(t *testing.T) {
	phrases := func(of string) []string {
		return slices.DeleteFunc(strings.Split(of, ", "), func(p string) bool { return p == "" })
	}
	for _, c := range []struct{ first, second, a, b, common string }{
		{"path inside", "path outside", "path inside", "path outside", ""},
		{"short set", "short set", "short set (first)", "short set (second)", ""},
		{"rusher #91, set short", "rusher #91, set vertical", "set short", "set vertical", "rusher #91"},
		{"set short, rusher #91, path inside", "rusher #91, set short, path outside", "path inside", "path outside", "set short, rusher #91"},
		// Of one side nothing would be left to call it by.
		{"rusher #91, set short", "rusher #91", "rusher #91, set short", "rusher #91", ""},
		{"", "path inside", "everything", "path inside", ""},
	} {
		a, b, common := apart(phrases(c.first), phrases(c.second))
		if diff := cmp.Diff([]string{c.a, c.b, c.common}, []string{a, b, common}); diff != "" {
			t.Errorf("%q against %q (-want +got):\n%s", c.first, c.second, diff)
		}
	}
}

// Two choices that begin alike have titles that tell them apart.
func TestSideTitles(t *testing.T) {
	for _, c := range [][4]string{
		{"set short", "set vertical", "set short", "set vertical"},
		{"call Trips, Right A", "call Trips, Right B", "…ll Trips, Right A", "…ll Trips, Right B"},
		{"a choice that is long and the same", "a choice as long and the same", "a choice that is …", "a choice as long …"},
		{strings.Repeat("x", 40), strings.Repeat("x", 50), "first", "second"},
	} {
		if got := sideTitles(c[0], c[1]); got != [2]string{c[2], c[3]} {
			t.Errorf("%q and %q: %q", c[0], c[1], got)
		}
	}
}

func TestNotHeld(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		first, second, want []string
	}{
		{[]string{"path=inside"}, []string{"path=outside"}, nil},
		{[]string{"set=short", "path=inside"}, []string{"path!=inside"}, []string{"set"}},
		{[]string{"down=3", "distance>=7"}, []string{"distance<7", "set=short"}, []string{"down", "set"}},
		{[]string{"down=3", "quarter>=1", "quarter<=3"}, []string{"down=2"}, []string{"quarter"}},
		{[]string{"inside-counter", "red-zone"}, []string{"inside-counter=no"}, []string{"to-goal"}},
		// What has nothing in common is compared as it is.
		{[]string{"inside-counter"}, []string{"path=outside"}, nil},
	} {
		side := func(terms []string) Side {
			q, err := query.Parse(terms, "", v, &tags.Season{Vocabulary: v})
			if err != nil {
				t.Fatal(err)
			}
			return Side{Query: q, Terms: terms}
		}
		got := notHeld(side(c.first).keys(), side(c.second).keys())
		if diff := cmp.Diff(c.want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%v against %v (-want +got):\n%s", c.first, c.second, diff)
		}
	}
}

func TestChanceWords(t *testing.T) {
	for p, want := range map[float64]string{1: "1", 0.9999: "1", 0.5: "0.50", 0.0999: "0.100", 0.0123: "0.012", 0.0009: "<0.001", 0: "<0.001"} {
		if got := chanceWords(p); got != want {
			t.Errorf("%g: got %q, want %q", p, got, want)
		}
	}
}
