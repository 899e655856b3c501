package share_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// attributePlants are in extended attributes, where the folder for temporary files has them.
func attributePlants(t *testing.T) []plant {
	probe := filepath.Join(t.TempDir(), "x")
	if err := os.WriteFile(probe, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := unix.Setxattr(probe, "user.test", []byte("x"), 0); errors.Is(err, unix.ENOTSUP) {
		t.Log("no extended attributes here: their plants are left out")
		return nil
	}
	set := func(name string, value []byte) func(*writer) {
		return func(w *writer) {
			w.write("a.txt", []byte("-"))
			w.check(unix.Setxattr(filepath.Join(w.dir, "a.txt"), name, value, 0))
		}
	}
	return []plant{
		{"attribute", set("user.comment", []byte(said)), ""},
		{"name of an attribute", set("user.ike.okafor", []byte("-")), ""},
		{"attribute in UTF-16", set("user.xdg", wide(said, false, false)), ""},
		{"attribute of a folder", func(w *writer) {
			w.check(unix.Setxattr(w.dir, "user.comment", []byte(said), 0))
		}, ""},
	}
}
