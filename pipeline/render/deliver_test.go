package render

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"trenchcut/pipeline/content"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// finished is a reel that is ready for its place, of which nothing matters but what it holds,
// and its manifest.
func finished(t *testing.T, out, holds string) (manifest []byte, tmp string) {
	t.Helper()
	tmp, err := files.Spare(out, reelMark)
	if err == nil {
		err = os.WriteFile(tmp, []byte(holds), 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	print, err := content.Fingerprint(tmp)
	if err != nil {
		t.Fatal(err)
	}
	manifest, err = Manifest{Format: tags.Format, Plan: holds, Reel: ManifestReel{Fingerprint: print}}.encode()
	if err != nil {
		t.Fatal(err)
	}
	return manifest, tmp
}

func folder(t *testing.T, dir string) int {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	return len(entries)
}

// Of many runs to one place one reel remains, with its own manifest, and nothing else.
func TestDeliverTogether(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reel.mp4")
	var all sync.WaitGroup
	for i := range 20 {
		manifest, tmp := finished(t, out, fmt.Sprint("reel ", i))
		all.Go(func() {
			if err := deliver(context.Background(), manifest, tmp, out); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	m, err := ours(out)
	data, errRead := os.ReadFile(out)
	if err := errors.Join(err, errRead); err != nil || m.Plan != string(data) {
		t.Errorf("%q has the manifest of %q (%v)", data, m.Plan, err)
	}
	if n := folder(t, filepath.Dir(out)); n != 2 {
		t.Errorf("%d files lie there, want the reel and its manifest", n)
	}
}

// A run that is killed between the two renames leaves a reel that is known all the same, and
// one that is killed before them changes nothing.
func TestDeliverKilled(t *testing.T) {
	for _, reelIn := range []bool{true, false} {
		out := filepath.Join(t.TempDir(), "reel.mp4")
		old, tmp := finished(t, out, "old")
		if err := deliver(context.Background(), old, tmp, out); err != nil {
			t.Fatal(err)
		}
		manifest, tmp := finished(t, out, "new")
		waiting, err := files.Spare(ManifestPath(out), manifestMark)
		if err == nil {
			err = os.WriteFile(waiting, manifest, 0o666)
		}
		if err == nil && reelIn {
			err = os.Rename(tmp, out)
		} else if err == nil {
			err = os.Remove(tmp)
		}
		if err != nil {
			t.Fatal(err)
		}
		want := map[bool]string{true: "new", false: "old"}[reelIn]
		if m, err := ours(out); err != nil || m.Plan != want {
			t.Errorf("the reel is that of %q (%v), want %q", m.Plan, err, want)
		}
		if again, err := ReadManifest(ManifestPath(out)); err != nil || again.Plan != want {
			t.Errorf("its manifest is that of %q (%v), want %q", again.Plan, err, want)
		}
		if n := folder(t, filepath.Dir(out)); reelIn && n != 2 {
			t.Errorf("%d files lie there, want the reel and its manifest", n)
		}
	}
}

// Where the manifest cannot be put in its place, the reel is known all the same.
func TestDeliverManifestInTheWay(t *testing.T) {
	out := filepath.Join(t.TempDir(), "reel.mp4")
	if err := os.MkdirAll(filepath.Join(ManifestPath(out), "full"), 0o777); err != nil {
		t.Fatal(err)
	}
	manifest, tmp := finished(t, out, "new")
	if err := deliver(context.Background(), manifest, tmp, out); err == nil {
		t.Fatal("a manifest took the place of a folder")
	}
	if _, err := os.Lstat(out); err == nil {
		t.Error("the reel was put in its place without a manifest")
	}
}
