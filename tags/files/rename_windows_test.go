package files

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A file that a program shows is not replaced, which is said; once it is closed, it is.
func TestOpenFileIsNotReplaced(t *testing.T) {
	path := filepath.Join(t.TempDir(), "reel.mp4")
	if err := Write(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	shown, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(path, []byte("new")); !errors.Is(err, ErrOpen) {
		t.Errorf("while it is open: error %v, want %v", err, ErrOpen)
	}
	if err := shown.Close(); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, []byte("new")); err != nil {
		t.Error(err)
	}
}
