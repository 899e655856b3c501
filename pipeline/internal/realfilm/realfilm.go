// Package realfilm tells tests where film of real cameras lies.
package realfilm

import (
	"os"
	"path/filepath"
	"testing"
)

// Variable is the environment variable that names the folder of real film.
const Variable = "TRENCHCUT_MEDIA"

// Folder is the folder of real film. It skips the test where [Variable] is not set, and
// fails it where what it names is no folder.
func Folder(t testing.TB) string {
	t.Helper()
	name := os.Getenv(Variable)
	if name == "" {
		t.Skip(Variable + " is not set: this test needs a folder of real film")
	}
	dir, err := filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(dir); err != nil {
		t.Fatalf("%s: %v", Variable, err)
	} else if !info.IsDir() {
		t.Fatalf("%s: %s is no folder", Variable, dir)
	}
	return dir
}
