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

// Only Windows refuses such names, and of a path only the file's own.
func TestTakes(t *testing.T) {
	for _, c := range []struct {
		system, path string
		bad          bool
	}{
		{"windows", "con.mp4", true},
		{"linux", "con.mp4", false},
		{"darwin", "week 1: Harbor.mp4", false},
		{"windows", "week 1: Harbor/inside.mp4", false},
		{"windows", "reels/who?.mp4", true},
		{"windows", "a:b.mp4", true},
		{"windows", "a:/b.mp4", false},
	} {
		if err := takes(c.system, c.path); (err != nil) != c.bad {
			t.Errorf("%s, %s: %v", c.system, c.path, err)
		}
	}
}
