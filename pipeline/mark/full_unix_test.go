//go:build unix

package mark

import (
	"os"
	"os/exec"
	"os/signal"
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

// Where there is no room for a change, be it in the journal or in the tag file, that is said, and the
// change is not made in the next session either. What is done once there is room outlasts this one.
func TestNoRoom(t *testing.T) {
	if !smallFiles(t) {
		return
	}
	for name, text := range map[string]string{"of the journal": commented, "of the tag file": commented + "# " + strings.Repeat("long ", 2000) + "\n"} {
		d := opened(t, text)
		set := Edit{Verb: Set, Play: 9, Field: "down", Value: "2"}
		if _, err := d.Do(set); err != nil {
			t.Fatal(err)
		}
		before := onDisk(t, d)
		info, err := os.Stat(d.journal.file.Name())
		if err != nil {
			t.Fatal(err)
		}
		room := uint64(info.Size()) + 10
		if name == "of the tag file" {
			room += 4000
		}
		upTo(t, room, func() { _, err = d.Do(Edit{Verb: Set, Play: 9, Field: "down", Was: "2", Value: "3"}) })
		if err == nil || !strings.Contains(err.Error(), "no room is left") || !strings.Contains(err.Error(), "as it was") {
			t.Errorf("%s: error %v", name, err)
		}
		d.Close()
		d = reopened(t, d.path)
		if now := onDisk(t, d); now != before {
			t.Errorf("%s: what could not be done is done: %s", name, now)
		}
		upTo(t, room, func() { _, err = d.Do(Edit{Verb: Set, Play: 9, Field: "down", Was: "2", Value: "3"}) })
		begin := Edit{Verb: Add, Play: 9, Rep: "marlow", Values: []Value{{"align", "9"}}}
		if err == nil {
			t.Errorf("%s: there was room", name)
		}
		if _, err := d.Do(begin); err != nil {
			t.Fatal(err)
		}
		d.Close()
		d = reopened(t, d.path)
		if drafts := d.Look().Drafts; len(drafts) != 1 {
			t.Errorf("%s: of what was begun there is %v", name, drafts)
		}
		for range 2 {
			if _, err := d.Undo(); err != nil {
				t.Fatal(err)
			}
		}
		if now := onDisk(t, d); now != text {
			t.Errorf("%s: undone: %s", name, now)
		}
	}
}
