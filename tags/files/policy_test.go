package files

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestPolicy(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	ours := func(path string) bool { data, err := os.ReadFile(path); return err == nil && string(data) == "ours" }
	for _, c := range []struct {
		name   string
		policy Policy
		holds  string // "" where there is no file
		want   string // after the file's path; "" where it is written
	}{
		{"no file", Policy{}, "", ""},
		{"somebody's", Policy{}, "mine", " exists; use --force to replace it"},
		{"somebody's, by force", Policy{Force: true}, "mine", ""},
		{"not ours", Policy{Ours: ours}, "mine", " exists and was not written by trenchcut; use --force to replace it"},
		{"ours", Policy{Ours: ours}, "ours", ""},
		{"not ours, by force", Policy{Force: true, Ours: ours}, "mine", ""},
	} {
		path := at("plays.csv")
		_ = os.Remove(path)
		if c.holds != "" {
			makeFile(t, path, c.holds, 0o644)
		}
		err := c.policy.Write(path, []byte("new"))
		var exists *ExistsError
		switch {
		case c.want == "":
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			wantFile(t, path, "new")
		case err == nil || err.Error() != path+c.want || !errors.As(err, &exists) || exists.Path != path:
			t.Errorf("%s: error %v, want %s", c.name, err, path+c.want)
		default:
			wantFile(t, path, c.holds)
		}
	}
	// Of several all are named.
	makeFile(t, at("a"), "mine", 0o644)
	makeFile(t, at("b"), "mine", 0o644)
	err := Policy{}.Check(at("new"), at("a"), at("b"))
	if want := at("a") + " exists; use --force to replace it\n" + at("b") + " exists; use --force to replace it"; err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}
