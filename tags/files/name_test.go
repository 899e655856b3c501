package files

import "testing"

// The names that Windows forbids are those of its documentation ("Naming Files, Paths, and
// Namespaces").
func TestForbidden(t *testing.T) {
	for name, bad := range map[string]bool{
		"inside.mp4": false, "Tāvita Loʻimata.mp4": false, "console.mp4": false, "com10.mp4": false, "a.con": false, ".trenchcut-lock": false,
		"con": true, "CON.mp4": true, "nul.tar.gz": true, "Com1.mp4": true, "lpt9": true, "com².mp4": true, "aux .txt": true,
		"week 1: Harbor.mp4": true, "who?.mp4": true, `a"b.mp4`: true, "a\tb.mp4": true, "a|b": true, "dot.": true, "space ": true,
	} {
		if why := forbidden(name); (why != "") != bad {
			t.Errorf("%q: %q", name, why)
		}
	}
}
