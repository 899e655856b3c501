package exchange

import (
	"strings"
	"testing"

	"trenchcut/tags"
)

func TestIDs(t *testing.T) {
	for text, want := range map[string]string{
		"Teo Marlow": "teo-marlow", "O'Neal": "oneal", "Tāvita Loʻimata": "tvita-loimata", "Harbor/State (JV)": "harbor-state-jv",
		"--": "", "Ōʻ": "", strings.Repeat("ab-", 20): strings.Repeat("ab-", 13) + "a",
	} {
		if got := idOf(text); got != want || got != "" && !tags.ID.MatchString(got) {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
