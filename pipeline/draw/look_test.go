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
