package content_test

import (
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/content"
)

func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "stamp")
	for _, text := range []string{"one", "another"} {
		if err := content.WriteWhole(path, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
		if data, err := os.ReadFile(path); err != nil || string(data) != text {
			t.Errorf("the file holds %q (%v), want %q", data, err, text)
		}
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v (%v), want 0640", info.Mode(), err)
	}
	// What cannot be put in place leaves nothing: here a folder is in the way.
	if err := os.MkdirAll(filepath.Join(dir, "taken", "inside"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := content.WriteWhole(filepath.Join(dir, "taken"), []byte("x"), 0o640); err == nil {
		t.Error("a folder was replaced")
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 2 {
		t.Errorf("%v is there (%v), want the file and the folder", left, err)
	}
}
