package content

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestWriteTogether(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	holds := func(name, want string) {
		t.Helper()
		if data, err := os.ReadFile(at(name)); err != nil || string(data) != want {
			t.Errorf("%s holds %q, want %q (%v)", name, data, want, err)
		}
	}
	names := func() (list []string) {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			list = append(list, e.Name())
		}
		return list
	}
	files := []File{{at("a"), []byte("one")}, {at("b"), []byte("one")}}
	if err := WriteTogether(files, 0o644); err != nil {
		t.Fatal(err)
	}
	holds("a", "one")
	holds("b", "one")

	// What cannot be renamed over comes last: a and b are as they were, and c is not there.
	if err := os.MkdirAll(at("d/full"), 0o755); err != nil {
		t.Fatal(err)
	}
	before := names()
	again := []File{{at("a"), []byte("two")}, {at("c"), []byte("two")}, {at("b"), []byte("two")}, {at("d"), []byte("two")}}
	if err := WriteTogether(again, 0o644); err == nil {
		t.Fatal("a file took the place of a folder")
	}
	holds("a", "one")
	holds("b", "one")
	if after := names(); !slices.Equal(before, after) {
		t.Errorf("there lie %q, before %q", after, before)
	}

	// Where one has nowhere to lie, none is touched.
	if err := WriteTogether([]File{{at("a"), []byte("three")}, {at("none/x"), nil}}, 0o644); err == nil {
		t.Fatal("a file was written where there is no folder")
	}
	holds("a", "one")
	if after := names(); !slices.Equal(before, after) {
		t.Errorf("there lie %q, before %q", after, before)
	}
}
