package tags

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestWriteFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "wk1.game.yaml")
	link := filepath.Join(dir, "link.game.yaml")
	steps := []struct {
		name      string
		path      string
		old, next string
		none      bool // old is that there is no file
		want      error
		holds     string
	}{
		{"new", path, "", "one", true, nil, "one"},
		{"new where one is", path, "", "two", true, ErrChanged, "one"},
		{"changed", path, "other", "two", false, ErrChanged, "one"},
		{"as read", path, "one", "two", false, nil, "two"},
		{"through a link", link, "two", "three", false, nil, "three"},
		{"gone", filepath.Join(dir, "gone.game.yaml"), "x", "y", false, ErrChanged, "three"},
	}
	if err := os.Symlink("wk1.game.yaml", link); err != nil {
		t.Fatal(err)
	}
	for i, s := range steps {
		old := []byte(s.old)
		if s.none {
			old = nil
		}
		if err := WriteFile(s.path, old, []byte(s.next)); !errors.Is(err, s.want) {
			t.Errorf("%s: error %v, want %v", s.name, err, s.want)
		}
		if data, err := os.ReadFile(path); err != nil || string(data) != s.holds {
			t.Errorf("%s: the file holds %q (%v), want %q", s.name, data, err, s.holds)
		}
		if i == 0 {
			if err := os.Chmod(path, 0o640); err != nil {
				t.Fatal(err)
			}
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
			t.Errorf("%s: mode %v (%v), want 0640", s.name, info.Mode(), err)
		}
		if entries, err := os.ReadDir(dir); err != nil || len(entries) != 2 {
			t.Errorf("%s: the folder holds %v (%v), want the file and its link", s.name, entries, err)
		}
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is none any more: %v (%v)", info.Mode(), err)
	}
}

// A rename that fails leaves nothing behind.
func TestWriteFileLeavesNoTemp(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "wk1.game.yaml")
	if err := os.Mkdir(path, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(path, []byte("x"), []byte("y")); err == nil {
		t.Error("wrote over a folder")
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v (%v)", entries, err)
	}
}
