package files

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/windows"
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
	// Where it is held so that nobody may write to it, that is said before any work.
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		t.Fatal(err)
	}
	held, err := windows.CreateFile(name, windows.GENERIC_READ, windows.FILE_SHARE_READ, nil, windows.OPEN_EXISTING, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := (Policy{Force: true}).Check(path); !errors.Is(err, ErrOpen) {
		t.Errorf("while a spreadsheet has it: error %v, want %v", err, ErrOpen)
	}
	_ = windows.CloseHandle(held)
	if err := shown.Close(); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, []byte("new")); err != nil {
		t.Error(err)
	}
}
