package tags

import "testing"

func TestGuesses(t *testing.T) {
	all := []string{"endzone", "sideline", "tower"}
	for _, c := range []struct {
		said          Guesses
		with, without Guesses // the snap on the sideline
	}{
		{"", "sideline snap", ""},
		{"snap", "snap", "endzone snap; tower snap"},
		{"sideline snap", "sideline snap", ""},
		{"endzone snap; sideline snap", "endzone snap; sideline snap", "endzone snap"},
		{"tower snap", "tower snap; sideline snap", "tower snap"},
		{"far-sideline snap", "far-sideline snap; sideline snap", "far-sideline snap"},
		{"about the down", "about the down; sideline snap", "about the down"},
	} {
		if got := c.said.WithSnap("sideline"); got != c.with || !got.Snap("sideline") {
			t.Errorf("%q with the sideline's snap is %q, want %q", c.said, got, c.with)
		}
		if got := c.said.WithoutSnap("sideline", all); got != c.without || got.Snap("sideline") {
			t.Errorf("%q without the sideline's snap is %q, want %q", c.said, got, c.without)
		}
	}
}
