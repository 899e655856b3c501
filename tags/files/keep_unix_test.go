//go:build linux || darwin

package files

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// A new file's mode follows the umask; no other test of this package may run beside this one.
func TestUmask(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct{ umask, want os.FileMode }{{0o077, 0o600}, {0o022, 0o644}, {0o002, 0o664}} {
		old := syscall.Umask(int(c.umask))
		path := filepath.Join(dir, c.umask.String())
		err := errors.Join(
			Update(path+"update", nil, []byte("x")),
			Write(path+"write", []byte("x")),
			WriteTogether([]File{{path + "together", []byte("x")}}),
		)
		spare, errSpare := Spare(path+"reel", "trenchcut")
		if err = errors.Join(err, errSpare); err == nil {
			err = Replace(spare, path+"reel")
		}
		syscall.Umask(old)
		if err != nil {
			t.Fatal(err)
		}
		for _, way := range []string{"update", "write", "together", "reel"} {
			if info, err := os.Stat(path + way); err != nil || info.Mode().Perm() != c.want {
				t.Errorf("umask %o, %s: mode %v (%v), want %v", c.umask, way, info.Mode(), err, c.want)
			}
		}
	}
}

// A file that is replaced keeps its mode, owner, group and extended attributes.
func TestKeep(t *testing.T) {
	path := filepath.Join(t.TempDir(), "wk1.game.yaml")
	makeFile(t, path, "old", 0o606)
	attributed := unix.Setxattr(path, "user.staff", []byte("Cedar Hollow"), 0) == nil
	if !attributed {
		t.Log("this file system has no extended attributes: they are not looked at")
	}
	uid, gid := os.Getuid(), os.Getgid()
	if uid == 0 {
		uid, gid = 1234, 4321
		if err := os.Chown(path, uid, gid); err != nil {
			t.Fatal(err)
		}
	}
	for way, write := range map[string]func() error{
		"Write":         func() error { return Write(path, []byte("new")) },
		"Update":        func() error { return Update(path, []byte("new"), []byte("new")) },
		"WriteTogether": func() error { return WriteTogether([]File{{path, []byte("new")}}) },
	} {
		if way == "Update" {
			makeContent(t, path, "new")
		}
		if err := write(); err != nil {
			t.Fatal(err)
		}
		wantFile(t, path, "new")
		info, err := os.Stat(path)
		if err != nil || info.Mode().Perm() != 0o606 {
			t.Errorf("%s: mode %v (%v), want 0606", way, info.Mode(), err)
		}
		if owned := info.Sys().(*syscall.Stat_t); int(owned.Uid) != uid || int(owned.Gid) != gid {
			t.Errorf("%s: owner %d and group %d, want %d and %d", way, owned.Uid, owned.Gid, uid, gid)
		}
		if value, ok := attribute(path, "user.staff"); attributed && (!ok || string(value) != "Cedar Hollow") {
			t.Errorf("%s: the attribute is %q", way, value)
		}
	}
}

// makeContent changes what a file holds and nothing else of it.
func makeContent(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0); err != nil {
		t.Fatal(err)
	}
}

// A pipe is neither read nor written, which would wait for who is at its other end.
func TestPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "plays.csv")
	if err := unix.Mkfifo(path, 0o666); err != nil {
		t.Fatal(err)
	}
	_, errRead := Read(path, 100)
	_, errSpare := Spare(path, "trenchcut")
	for way, err := range map[string]error{
		"Read":   errRead,
		"Spare":  errSpare,
		"Write":  Write(path, []byte("x")),
		"Update": Update(path, nil, []byte("x")),
		"Check":  Policy{Force: true}.Check(path),
	} {
		if err == nil || !strings.Contains(err.Error(), path) || !strings.Contains(err.Error(), "it is a pipe, not a plain file") {
			t.Errorf("%s: error %v, want that it is a pipe", way, err)
		}
	}
}

func TestRead(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "plays.csv")
	makeFile(t, path, "12345", 0o644)
	if data, err := Read(path, 5); err != nil || string(data) != "12345" {
		t.Errorf("read %q (%v)", data, err)
	}
	if data, err := Read(path, 4); err == nil {
		t.Errorf("read %q of a file that is too large", data)
	}
	if _, err := Read(dir, 4); err == nil || !strings.Contains(err.Error(), "it is a folder") {
		t.Errorf("a folder: error %v", err)
	}
	if _, err := Read(filepath.Join(dir, "none"), 4); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: error %v", err)
	}
}
