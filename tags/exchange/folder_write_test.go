package exchange

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// theirFolder is a folder from another staff, whose film is so large that it takes several steps
// to copy, and the place that it is to be taken in to.
func theirFolder(t *testing.T) (from, into string) {
	t.Helper()
	dir := t.TempDir()
	from, into = filepath.Join(dir, "stick"), filepath.Join(dir, "harbor")
	if err := os.MkdirAll(filepath.Join(from, "film"), 0o777); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{
		"wk1.game.yaml": []byte("trenchcut: 1\ngame: {id: wk1, us: Harbor State}\nfilm: {endzone: {file: film/ez.mp4}}\nplays:\n  - {play: 1, in: 1s, out: 2s}\n"),
		"film/ez.mp4":   bytes.Repeat([]byte("film"), 5<<20),
	} {
		if err := os.WriteFile(filepath.Join(from, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return from, into
}

func takeIn(t *testing.T, from, into string, link bool, progress func(int64)) {
	t.Helper()
	f := Folder{From: from, Into: into, Link: link}
	if faults, err := f.Among([]string{filepath.Dir(from) + "/none"}, []string{}); err != nil || faults.Err() != nil {
		t.Log(faults, err) // there are no games of ours
	}
	taking, err := f.Read(t.Context())
	if err != nil || taking.Faults.Err() != nil {
		t.Fatal(err, taking.Faults)
	}
	if err := taking.Write(t.Context(), progress); err != nil {
		t.Fatal(err)
	}
}

// Film is linked to where that is asked for, and copied where not.
func TestFolderLink(t *testing.T) {
	for _, link := range []bool{false, true} {
		from, into := theirFolder(t)
		takeIn(t, from, into, link, nil)
		theirs, err := os.Stat(filepath.Join(from, "film", "ez.mp4"))
		if err != nil {
			t.Fatal(err)
		}
		ours, err := os.Stat(filepath.Join(into, "film", "ez.mp4"))
		if err != nil {
			t.Fatal(err)
		}
		if os.SameFile(theirs, ours) != link || ours.Size() != theirs.Size() {
			t.Errorf("link %v: one file %v, %d bytes", link, os.SameFile(theirs, ours), ours.Size())
		}
	}
}

// killedVariable has the folders of the run that kills itself.
const killedVariable = "TRENCHCUT_TEST_TAKE_IN"

// A run that is killed amid the film leaves nothing under the folder's name, and the next takes
// all of it in.
func TestFolderKilled(t *testing.T) {
	if from := os.Getenv(killedVariable); from != "" {
		takeIn(t, from, filepath.Join(filepath.Dir(from), "harbor"), false, func(int64) {
			me, err := os.FindProcess(os.Getpid())
			if err == nil {
				err = me.Kill()
			}
			if err != nil {
				t.Fatal(err)
			}
			select {} // until the signal is there
		})
		t.Fatal("it was not killed")
	}
	from, into := theirFolder(t)
	test, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(context.Background(), test, "-test.run=^TestFolderKilled$")
	cmd.Env = append(os.Environ(), killedVariable+"="+from)
	if said, err := cmd.CombinedOutput(); err == nil || bytes.Contains(said, []byte("FAIL")) {
		t.Fatalf("the run to kill: %v\n%s", err, said)
	}
	aside := filepath.Join(filepath.Dir(into), ".harbor.taking-in")
	if _, err := os.Stat(into); err == nil {
		t.Error("a folder half taken in is there")
	}
	if part, err := os.Stat(filepath.Join(aside, "film", "ez.mp4")); err != nil || part.Size() == 20<<20 {
		t.Errorf("it was not killed amid the film: %v %v", part, err)
	}
	takeIn(t, from, into, false, nil)
	film, err := os.Stat(filepath.Join(into, "film", "ez.mp4"))
	if err != nil || film.Size() != 20<<20 {
		t.Errorf("taken in again: %v %v", film, err)
	}
	if _, err := os.Stat(aside); err == nil {
		t.Error("what was left aside is still there")
	}
}
