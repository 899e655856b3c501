package plan_test

import (
	"testing"

	"golang.org/x/text/unicode/norm"

	"trenchcut/pipeline/plan"
)

// A title is one name on every system, however its letters are composed.
func TestFileName(t *testing.T) {
	for title, want := range map[string]string{
		"Inside counters, short sets": "inside-counters-short-sets",
		"Tāvita Loʻimata":             "tāvita-loʻimata",
		norm.NFD.String("Tāvita"):     norm.NFC.String("tāvita"),
		`a:b\c/d*?"<>|.`:              "a-b-c-d",
		"Con":                         "con-",
		"nul":                         "nul-",
		"COM1":                        "com1-",
		"Con man":                     "con-man",
		"…":                           "reel",
	} {
		if got := plan.FileName(title); got != want {
			t.Errorf("%q: got %q, want %q", title, got, want)
		}
	}
}
