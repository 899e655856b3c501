package draw

import (
	"strings"
	"testing"
)

func TestParseLook(t *testing.T) {
	const good = "trenchcut: 1\nink: \"#ffffff\"\nquiet: \"#dddddd\"\nground: \"#000000\"\naccent: \"#e69f00\"\nlead: 44\nline: 31\ntitle: 68\nsmall: 24\n"
	l, err := ParseLook("my.yaml", []byte(good))
	if err != nil {
		t.Fatal(err)
	}
	if l.Accent != "#e69f00" || l.Quiet != "#dddddd" || l.Lead != 44 || l.Line != 31 || l.Title != 68 || l.Small != 24 {
		t.Errorf("read %+v", l)
	}
	for _, c := range []struct{ old, new, want string }{
		{"ink: \"#ffffff\"", "ink: #ffffff", "my.yaml:2"}, // a comment in YAML: the quotes are needed
		{"\"#dddddd\"", "\"#777777\"", "quiet on its ground has a contrast of 4.7:1"},
		{"lead: 44\n", "", "says nothing of lead"},
		{"lead: 44", "lead: 4", "my.yaml:6:7: \"4\" is not a whole number"},
		{"small", "smal", "did you mean \"small\"?"},
		{"#e69f00", "orange", "accent: colour \"orange\""},
	} {
		_, err := ParseLook("my.yaml", []byte(strings.Replace(good, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want an error with %q", c.new, err, c.want)
		}
	}
}
