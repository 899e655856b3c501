package tags

import "testing"

func TestOneLetterOff(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"oddmug", "oddmugg", true},
		{"oddmug", "odmug", true},
		{"oddmug", "oddmag", true},
		{"oddmug", "odmdug", true},
		{"oddmug", "oddmug", false},
		{"oddmug", "evenmug", false},
		{"gun", "run", false},
		{"cover2", "cover3", false},
		{"dog12x", "dog13x", false},
		{"cover2", "cover23", false},
		{"überblitz", "uberblitz", true},
	} {
		if got := oneLetterOff(tt.a, tt.b); got != tt.want || oneLetterOff(tt.b, tt.a) != got {
			t.Errorf("%s and %s: %v", tt.a, tt.b, got)
		}
	}
}

// What is as frequent as another, is short, or has another sign is a word of its own.
func TestFindAlikeKeepsApart(t *testing.T) {
	g := &Game{}
	for _, text := range []string{"Right", "Light", "3+", "3", "-2", "2", "Over", "Ovar", "Under"} {
		g.Plays = append(g.Plays, &Play{Game: g, Front: text})
	}
	if found := FindAlike(g.Plays); len(found) > 0 {
		t.Errorf("found %v", found)
	}
}
