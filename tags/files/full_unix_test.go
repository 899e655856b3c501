//go:build unix

package files

import (
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// smallFiles runs the test again in a process of its own, in which upTo may keep files small, and takes
// over what came of it. It is true in that process.
func smallFiles(t *testing.T) bool {
	t.Helper()
	const variable = "TRENCHCUT_TEST_SMALL_FILES"
	if os.Getenv(variable) != "" {
		signal.Ignore(syscall.SIGXFSZ)
		return true
	}
	cmd := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")
	cmd.Env = append(os.Environ(), variable+"=yes")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	return false
}

// upTo lets no file grow beyond so many bytes while do runs.
func upTo(t *testing.T, bytes uint64, do func()) {
	t.Helper()
	var was syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: bytes, Max: was.Max}); err != nil {
		t.Fatal(err)
	}
	do()
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		t.Fatal(err)
	}
}

// Where there is no room, it is said of which file, what became of it and what to do, and nothing of
// what was written is left.
func TestNoRoom(t *testing.T) {
	if !smallFiles(t) {
		return
	}
	dir := t.TempDir()
	old, none := filepath.Join(dir, "wk1.game.yaml"), filepath.Join(dir, "reel.html")
	if err := os.WriteFile(old, []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	large := make([]byte, 100)
	for path, does := range map[string]struct {
		write func() error
		said  string
	}{
		old:  {func() error { return Update(old, []byte("old"), large) }, "and it is as it was: free some, and do it again ("},
		none: {func() error { return Write(none, large) }, "and it is not there yet: free some, and do it again ("},
		filepath.Join(dir, "a.csv"): {func() error {
			return WriteTogether([]File{{filepath.Join(dir, "b.csv"), nil}, {filepath.Join(dir, "a.csv"), large}})
		}, "and it is not there yet: free some"},
	} {
		var err error
		upTo(t, 50, func() { err = does.write() })
		if err == nil || !Full(err) || !strings.HasPrefix(err.Error(), "write "+path+": no room is left on its disk, "+does.said) {
			t.Errorf("%s: error %v", path, err)
		}
	}
	if data, err := os.ReadFile(old); err != nil || string(data) != "old" {
		t.Errorf("the file holds %q (%v)", data, err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("there are %v (%v)", left, err)
	}
}
