package files

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/windows"
)

// A file that a program shows is not replaced, which is said; once it is closed, it is.
func TestOpenFileIsNotReplaced(t *testing.T) {
	dir := t.TempDir()
	deep := filepath.Join(dir, strings.Repeat("long", 30), strings.Repeat("path", 30))
	if err := os.MkdirAll(deep, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{filepath.Join(dir, "reel.mp4"), filepath.Join(deep, "reel.mp4")} {
		openIsNotReplaced(t, path)
	}
}

func openIsNotReplaced(t *testing.T, path string) {
	if err := Free(path); err != nil {
		t.Errorf("where nothing is: %v", err)
	}
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
	// That is said before any work.
	if err := (Policy{Force: true}).Check(path); !errors.Is(err, ErrOpen) {
		t.Errorf("while a player has it: error %v, want %v", err, ErrOpen)
	}
	if err := (Policy{}).Check(path); errors.Is(err, ErrOpen) {
		t.Errorf("where it may not be replaced anyhow: %v", err)
	}
	name, err := LongName(path)
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
	if err := Free(path); err != nil {
		t.Errorf("once it is closed: %v", err)
	}
	if err := Write(path, []byte("new")); err != nil {
		t.Error(err)
	}
}

// A name is given to Windows whole, because only so it may be long, on a share as well.
func TestLongName(t *testing.T) {
	for path, want := range map[string]string{
		`C:\film\a.mp4`:             `\\?\C:\film\a.mp4`,
		`C:/film/../a.mp4`:          `\\?\C:\a.mp4`,
		`\\office\film\a.mp4`:       `\\?\UNC\office\film\a.mp4`,
		`\\?\C:\film\a.mp4`:         `\\?\C:\film\a.mp4`,
		`\\?\UNC\office\film\a.mp4`: `\\?\UNC\office\film\a.mp4`,
	} {
		name, err := LongName(path)
		if err != nil {
			t.Errorf("%s: %v", path, err)
		} else if got := windows.UTF16PtrToString(name); got != want {
			t.Errorf("%s is given as %s, want %s", path, got, want)
		}
	}
}
