package draw

import (
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
)

func TestCheckLook(t *testing.T) {
	good := look(t)
	if err := CheckLook(good); err != nil {
		t.Errorf("the default look: %v", err)
	}
	for want, spoil := range map[string]func(*plan.Look){
		"quiet on its ground has a contrast of": func(l *plan.Look) { l.Quiet = "#777777" },
		"accent: colour \"orange\"":             func(l *plan.Look) { l.Accent = "orange" },
		"lead is 4 thousandths":                 func(l *plan.Look) { l.Lead = 4 },
	} {
		bad := good
		spoil(&bad)
		if err := CheckLook(bad); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want an error with %q", err, want)
		}
	}
}

// What is said to be readable is, and white text is found for a dark ground, black for a
// light one; a middling ground has neither.
func TestReadable(t *testing.T) {
	for _, c := range []struct{ text, ground, want string }{
		{"#777777", "#0f1317", ""},
		{"#56b4e9", "#ffffff", ""},
		{"#ff0000", "#000000", ""},
		{"#777777", "#777777", "none, so choose another ground"},
	} {
		text, err := parseColour(c.text)
		if err != nil {
			t.Fatal(err)
		}
		ground, err := parseColour(c.ground)
		if err != nil {
			t.Fatal(err)
		}
		got := readable(text, ground)
		if c.want != "" {
			if got != c.want {
				t.Errorf("%s on %s: %s, want %s", c.text, c.ground, got, c.want)
			}
			continue
		}
		found, err := parseColour(got)
		if err != nil || Contrast(found, ground) < leastContrast {
			t.Errorf("%s on %s: %s, which has a contrast of %.1f (%v)", c.text, c.ground, got, Contrast(found, ground), err)
		}
		if Contrast(found, ground) > leastContrast*1.1 {
			t.Errorf("%s on %s: %s, which is farther than it must be", c.text, c.ground, got)
		}
	}
}
