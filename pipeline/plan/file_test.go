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
		"Yard line -35":               "yard-line-minus-35",
		"Yard line 35":                "yard-line-35",
		"Yard line \u221235":          "yard-line-minus-35",
		"Call Odd+":                   "call-odd-plus",
		"Call Odd-":                   "call-odd-minus",
		"Call Odd-, spin":             "call-odd-minus-spin",
		"Long-arm, 2026-09-12 - film": "long-arm-2026-09-12-film",
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
