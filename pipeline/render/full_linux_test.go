package render_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"trenchcut/pipeline/render"
)

var fulls = flag.Int("fulls", 4, "at how many sizes of its disk TestFull tries each folder")

// smallDisks names the environment variable of a run of this test in a world of its own,
// where it may mount disks as small as it likes, which vanish with it.
const smallDisks = "TRENCHCUT_TEST_SMALL_DISKS"

// However full the disk is, of the cache or of the reel's folder, the run fails with an
// error that names the folder, leaves neither a reel nor anything half written, and a later
// one with room makes the bytes of a reel that was never disturbed.
func TestFull(t *testing.T) {
	t.Parallel()
	if os.Getenv(smallDisks) == "" {
		cmd := exec.Command(os.Args[0], "-test.run=^TestFull$", "-test.v", fmt.Sprintf("-fulls=%d", *fulls))
		cmd.Env = append(os.Environ(), smallDisks+"=yes")
		cmd.SysProcAttr = &syscall.SysProcAttr{
			Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
			UidMappings: []syscall.SysProcIDMap{{HostID: os.Getuid(), Size: 1}},
			GidMappings: []syscall.SysProcIDMap{{HostID: os.Getgid(), Size: 1}},
		}
		if os.Getuid() == 0 {
			cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
		}
		out, err := cmd.CombinedOutput()
		var exit *exec.ExitError
		switch {
		case err != nil && !errors.As(err, &exit):
			t.Skipf("no small disk can be had: this test wants root, or user namespaces (%v)", err)
		case bytes.Contains(out, []byte("--- SKIP")):
			t.Skipf("no small disk can be had: %s", out)
		case err != nil:
			t.Errorf("%v\n%s", err, out)
		default:
			t.Logf("%s", out)
		}
		return
	}

	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(71, 4, 300, "endzone")), nil)
	undisturbed, _ := b.make(p, "undisturbed.mp4")
	want, err := os.ReadFile(undisturbed)
	if err != nil {
		t.Fatal(err)
	}
	whole := b.maker.Store
	usage, err := whole.Usage()
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(72, 0))
	for name, needs := range map[string]int64{"cache": usage.Bytes, "out": int64(len(want))} {
		disk := filepath.Join(b.dir, name+" disk")
		if err := os.Mkdir(disk, 0o777); err != nil {
			t.Fatal(err)
		}
		size := func(bytes int64, flags uintptr) error {
			return syscall.Mount("none", disk, "tmpfs", flags, fmt.Sprintf("size=%d,nr_inodes=0", bytes))
		}
		if err := size(4096, 0); err != nil {
			t.Skip(err)
		}
		cache, out := filepath.Join(disk, "segments"), filepath.Join(b.dir, "reel.mp4")
		if name == "out" {
			cache, out = whole.Root, filepath.Join(disk, "reel.mp4")
		}
		b.maker.Store = render.Dir{Root: cache}
		full := filepath.Dir(out)
		if name == "cache" {
			full = cache
		}
		failed := 0
		for n := range *fulls {
			// Spread from none to all that is needed, and somewhat anywhere between.
			at := (needs*int64(n) + r.Int64N(needs)) / int64(*fulls)
			if err := size(at/4096*4096+4096, syscall.MS_REMOUNT); err != nil {
				t.Fatal(err)
			}
			_, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {})
			if err == nil {
				break
			}
			failed++
			var none *render.FullError
			if !errors.As(err, &none) || none.Folder != full || !strings.Contains(err.Error(), full) {
				t.Errorf("%s of %d bytes: error %v, want that there is no room in %s", name, at, err, full)
			}
			noLeftovers(t, out, cache)
		}
		if failed == 0 {
			t.Errorf("%s: no run failed, so this proves nothing", name)
		}
		if err := size(16<<20, syscall.MS_REMOUNT); err != nil {
			t.Fatal(err)
		}
		if _, err := b.maker.Make(context.Background(), p, out, false, func(render.Event) {}); err != nil {
			t.Fatalf("%s, with room: %v", name, err)
		}
		if got, err := os.ReadFile(out); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s, with room: the reel is %d bytes, want the %d of an undisturbed one (%v)", name, len(got), len(want), err)
		}
		t.Logf("%s: %d runs found no room", name, failed)
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Error(err)
		}
	}
}

// noLeftovers holds a failed run to leaving no reel, nothing half written and no work.
func noLeftovers(t *testing.T, out, cache string) {
	t.Helper()
	for _, file := range []string{out, render.ManifestPath(out)} {
		if _, err := os.Lstat(file); err == nil {
			t.Errorf("%s was left", file)
		}
	}
	for _, pattern := range []string{filepath.Join(filepath.Dir(out), ".*"), filepath.Join(cache, "work", "segment-*"), filepath.Join(cache, ".*")} {
		if left, err := filepath.Glob(pattern); err != nil || len(left) > 0 {
			t.Errorf("%q were left (%v)", left, err)
		}
	}
}
