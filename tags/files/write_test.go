package files

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// names is what lies in a folder.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

func wantFile(t *testing.T, path, want string) {
	t.Helper()
	if data, err := os.ReadFile(path); err != nil || string(data) != want {
		t.Errorf("%s holds %q (%v), want %q", filepath.Base(path), data, err, want)
	}
}

func makeFile(t *testing.T, path, text string, mode os.FileMode) {
	t.Helper()
	if err := errors.Join(os.WriteFile(path, []byte(text), 0o600), os.Chmod(path, mode)); err != nil {
		t.Fatal(err)
	}
}

func TestUpdate(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "wk1.game.yaml")
	link := filepath.Join(dir, "link.game.yaml")
	if err := os.Symlink("wk1.game.yaml", link); err != nil {
		t.Fatal(err)
	}
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
	for i, s := range steps {
		old := []byte(s.old)
		if s.none {
			old = nil
			if err := os.Remove(link); err != nil { // a link that leads nowhere is refused
				t.Fatal(err)
			}
		}
		if err := Update(s.path, old, []byte(s.next)); !errors.Is(err, s.want) {
			t.Errorf("%s: error %v, want %v", s.name, err, s.want)
		}
		if s.none {
			if err := os.Symlink("wk1.game.yaml", link); err != nil {
				t.Fatal(err)
			}
		}
		wantFile(t, path, s.holds)
		if i == 0 {
			if err := os.Chmod(path, 0o640); err != nil {
				t.Fatal(err)
			}
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
			t.Errorf("%s: mode %v (%v), want 0640", s.name, info.Mode(), err)
		}
		if left := names(t, dir); len(left) != 2 {
			t.Errorf("%s: the folder holds %v, want the file and its link", s.name, left)
		}
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is none any more: %v (%v)", info.Mode(), err)
	}
}

// What may not be replaced is refused with a reason, by every way of writing, and stays; so
// does what lies beside it.
func TestRefused(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	makeFile(t, at("locked"), "old", 0o444)
	if err := errors.Join(os.MkdirAll(at("folder/full"), 0o777), os.Symlink("nowhere", at("dangling")), os.Symlink("locked", at("link"))); err != nil {
		t.Fatal(err)
	}
	spare, err := Spare(at("reel.mp4"), "trenchcut")
	if err != nil {
		t.Fatal(err)
	}
	ways := map[string]func(string) error{
		"Write":   func(path string) error { return Write(path, []byte("new")) },
		"Update":  func(path string) error { return Update(path, []byte("old"), []byte("new")) },
		"Replace": func(path string) error { return Replace(spare, path) },
		"WriteTogether": func(path string) error {
			return WriteTogether([]File{{at("other"), []byte("new")}, {path, []byte("new")}})
		},
		"Policy.Write": func(path string) error { return Policy{Force: true}.Write(path, []byte("new")) },
		"Spare":        func(path string) error { _, err := Spare(path, "trenchcut"); return err },
	}
	before := fmt.Sprint(names(t, dir))
	for _, c := range []struct{ name, want string }{
		{"locked", "it is read-only: make it writable"},
		{"link", "it is read-only"},
		{"folder", "it is a folder, not a plain file"},
		{"dangling", "it is a link to a file that does not exist"},
		{"none/x", "no such file or directory"},
	} {
		for way, write := range ways {
			err := write(at(c.name))
			if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), at(c.name)) {
				if c.name == "none/x" && way == "Update" && errors.Is(err, ErrChanged) {
					continue
				}
				t.Errorf("%s of %s: error %v, want one that names it and says %q", way, c.name, err, c.want)
			}
		}
	}
	if after := fmt.Sprint(names(t, dir)); after != before {
		t.Errorf("there lie %s, before %s", after, before)
	}
	wantFile(t, at("locked"), "old")
}

// Any number of runs may write to one place: it holds what one of them wrote, whole, and
// nothing else is left.
func TestManyWriters(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, strings.Repeat("ʻ", 120)+".csv") // 244 bytes, where a name may have 255
	var all sync.WaitGroup
	for i := range 20 {
		all.Go(func() {
			if err := Write(path, []byte(strings.Repeat(string(rune('a'+i)), 100_000))); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	data, err := os.ReadFile(path)
	if err != nil || len(data) != 100_000 || strings.Trim(string(data), string(data[:1])) != "" {
		t.Errorf("%d bytes (%v), which are not what one wrote", len(data), err)
	}
	if left := names(t, dir); len(left) != 1 {
		t.Errorf("the folder holds %q", left)
	}
}

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "reel.mp4")
	first, err := Spare(path, "trenchcut")
	if err != nil {
		t.Fatal(err)
	}
	second, err := Spare(path, "trenchcut")
	if err != nil {
		t.Fatal(err)
	}
	if first == second || !strings.HasPrefix(filepath.Base(first), ".trenchcut-") || filepath.Ext(first) != ".mp4" {
		t.Errorf("spare files %s and %s", first, second)
	}
	for _, tmp := range []string{first, second} {
		if err := errors.Join(os.WriteFile(tmp, []byte(tmp), 0o666), Replace(tmp, path)); err != nil {
			t.Fatal(err)
		}
		wantFile(t, path, tmp)
	}
	if left := names(t, dir); len(left) != 1 {
		t.Errorf("the folder holds %q", left)
	}
}

func TestWriteCache(t *testing.T) {
	path := filepath.Join(t.TempDir(), "facts")
	for _, text := range []string{"one", "another"} {
		if err := WriteCache(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		wantFile(t, path, text)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v (%v), want 0600", info.Mode(), err)
	}
}

func TestWriteTogether(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	if err := WriteTogether([]File{{at("a"), []byte("one")}, {at("b"), []byte("one")}}); err != nil {
		t.Fatal(err)
	}
	wantFile(t, at("a"), "one")
	wantFile(t, at("b"), "one")
	// A name that cannot be renamed to comes last: a and b are as they were, and c is not there.
	before := fmt.Sprint(names(t, dir))
	again := []File{{at("a"), []byte("two")}, {at("c"), []byte("two")}, {at("b"), []byte("two")}, {at(strings.Repeat("x", 300)), nil}}
	if err := WriteTogether(again); err == nil {
		t.Fatal("a file was given a name of 300 letters")
	}
	wantFile(t, at("a"), "one")
	wantFile(t, at("b"), "one")
	if after := fmt.Sprint(names(t, dir)); after != before {
		t.Errorf("there lie %s, before %s", after, before)
	}
}
