//go:build unix

package share_test

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"trenchcut/pipeline/share"
)

// Nothing that lies there stops the rest or keeps the check waiting.
func TestNothingStopsTheRest(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "marlow")
	if err := os.MkdirAll(filepath.Join(dir, "shut"), 0o777); err != nil {
		t.Fatal(err)
	}
	w := &writer{t: t, dir: dir}
	w.write("broken.mp4", append(box("ftyp", []byte("isom\x00\x00\x00\x00")), 0, 0, 0xff, 0xff, 'm', 'o', 'o', 'v'))
	w.write("broken.mkv", []byte("\x1a\x45\xdf\xa3\xff\xff"))
	w.write("broken.zip", []byte("PK\x03\x04 of nothing"))
	w.write("broken.gz", []byte("\x1f\x8b\x08\x00\x00"))
	w.write("broken.xz", []byte("\xfd7zXZ\x00xxxxxxxx"))
	w.write("broken.pdf", []byte("%PDF-1.7\nxref"))
	w.write("broken.png", []byte("\x89PNG\r\n\x1a\n\xff\xff\xff\xffIHDR"+"0123"))
	w.write("bomb.gz", gzipped(strings.Repeat("\x00", 300<<20)))
	w.write("locked.7z", []byte("7z\xbc\xaf\x27\x1c"))
	w.write("z.txt", []byte(said))
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(dir, filepath.Join(dir, "round")); err != nil {
		t.Fatal(err)
	}
	socket, err := net.Listen("unix", filepath.Join(dir, "s"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = socket.Close() }()
	shut := 0
	if os.Geteuid() != 0 {
		shut = 1
		w.write("shut/a.txt", []byte("-"))
		if err := os.Chmod(filepath.Join(dir, "shut"), 0); err != nil {
			t.Fatal(err)
		}
		defer os.Chmod(filepath.Join(dir, "shut"), 0o777) //lint:ignore errcheck so that it can be removed
	}
	done := make(chan share.Report, 1)
	go func() { done <- lookAt(t, root) }()
	select {
	case r := <-done:
		unread := map[string]bool{}
		for _, u := range r.Unread {
			unread[filepath.Base(u.File)] = true
		}
		for _, name := range []string{"broken.mp4", "broken.mkv", "broken.zip", "broken.gz", "broken.xz", "broken.pdf", "broken.png", "bomb.gz", "locked.7z", "pipe", "round", "s"} {
			if !unread[name] {
				t.Errorf("%s is not named as not looked through", name)
			}
		}
		if shut == 1 && !unread["shut"] {
			t.Error("the folder that is shut is not named")
		}
		if len(r.Leaks) != 1 || filepath.Base(r.Leaks[0].File) != "z.txt" {
			t.Errorf("leaks %+v, want that of z.txt", r.Leaks)
		}
	case <-time.After(3 * time.Minute): // it hangs
		t.Fatal("it hangs")
	}
}
