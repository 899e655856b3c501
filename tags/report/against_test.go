package report

import (
	"slices"
	"strings"
	"testing"

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

func TestNotHeld(t *testing.T) {
	for _, c := range []struct {
		first, second, want []string
	}{
		{[]string{"path=inside"}, []string{"path=outside"}, nil},
		{[]string{"rusher=91", "path=inside"}, []string{"path!=inside"}, []string{"rusher"}},
		{[]string{"down=3", "distance>=7"}, []string{"distance<7", "set=short"}, []string{"down", "set"}},
		// What has nothing in common is compared as it is.
		{[]string{"inside-counter"}, []string{"path=outside"}, nil},
	} {
		got := notHeld(c.first, c.second)
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
