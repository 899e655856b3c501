package content_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/content"
)

// A folder is held by one, and nothing is left in it. Its path may be long.
func TestLockFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), strings.Repeat("long", 30), strings.Repeat("path", 30))
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	held, err := content.TryLock(dir, true)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := content.TryLock(dir, true); !errors.Is(err, content.ErrLocked) {
		t.Errorf("held by another: error %v, want ErrLocked", err)
	}
	held.Unlock()
	again, err := content.TryLock(dir, true)
	if err != nil {
		t.Fatal(err)
	}
	again.Unlock()
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("there lie %v (%v)", left, err)
	}
}

// A locked file is read, written and replaced as any other.
func TestLockKeepsNobodyOut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "reel.mp4")
	held, err := content.TryLock(path, true)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Unlock()
	if err := os.WriteFile(path, []byte("film"), 0o666); err != nil {
		t.Error(err)
	}
	if data, err := os.ReadFile(path); err != nil || string(data) != "film" {
		t.Errorf("read %q, error %v", data, err)
	}
	if !held.Holds(path) {
		t.Error("it does not hold what it locked")
	}
	if err := os.Rename(path, path+".done"); err != nil {
		t.Error(err)
	}
}
