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

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/render"
)

var fulls = flag.Int("fulls", 2, "at how many sizes of its disk TestFull tries each folder")

// mountsVariable names the environment variable of a test that runs in a process which sees
// mounts of its own.
const mountsVariable = "TRENCHCUT_TEST_OWN_MOUNTS"

// ownMounts runs the test again in a process where it may mount what it likes, which vanishes
// with that process, and takes over what came of it. It is true in that process.
func ownMounts(t *testing.T, flags ...string) bool {
	t.Helper()
	if os.Getenv(mountsVariable) != "" {
		return true
	}
	cmd := exec.Command(os.Args[0], append([]string{"-test.run=^" + t.Name() + "$", "-test.v"}, flags...)...)
	cmd.Env = append(os.Environ(), mountsVariable+"=yes")
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
		t.Skipf("nothing can be mounted: this test wants root, or user namespaces (%v)", err)
	case bytes.Contains(out, []byte("--- SKIP")):
		t.Skipf("nothing can be mounted: %s", out)
	case err != nil:
		t.Errorf("%v\n%s", err, out)
	default:
		t.Logf("%s", out)
	}
	return false
}

// However full the disk is, of the cache or of the reel's folder, the run fails with an
// error that names the folder, leaves neither a reel nor anything half written, and a later
// one with room makes the bytes of a reel that was never disturbed.
func TestFull(t *testing.T) {
	t.Parallel()
	if !ownMounts(t, fmt.Sprintf("-fulls=%d", *fulls)) {
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

// A cache that holds all of a reel serves from a disk that cannot be written to, with a lock
// in it or without; one that does not says that it cannot be written to.
func TestReadOnlyCache(t *testing.T) {
	t.Parallel()
	if !ownMounts(t) {
		return
	}
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 300, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(73, 3, 300, "endzone")), nil)
	reel, _ := b.make(p, "reel.mp4")
	want, err := os.ReadFile(reel)
	if err != nil {
		t.Fatal(err)
	}
	cache := filepath.Join(b.dir, `it's a "cache"`)
	if err := os.Rename(filepath.Join(b.dir, "cache"), cache); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount(cache, cache, "", syscall.MS_BIND, ""); err != nil {
		t.Skip(err)
	}
	readOnly := func(flag uintptr) {
		t.Helper()
		if err := syscall.Mount("", cache, "", syscall.MS_BIND|syscall.MS_REMOUNT|flag, ""); err != nil {
			t.Skip(err)
		}
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(cache, 0); err != nil {
			t.Error(err)
		}
	})
	readOnly(syscall.MS_RDONLY)
	if err := os.WriteFile(filepath.Join(cache, "x"), nil, 0o666); err == nil {
		t.Fatal("the cache can be written to, so this proves nothing")
	}
	serve := func(name string) (render.Report, error) {
		t.Helper()
		maker, err := newMaker(cache)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := maker.Films.(*film.Library).Source(context.Background(), path); err != nil {
			t.Fatal(err)
		}
		return maker.Make(context.Background(), p, filepath.Join(b.dir, name), false, func(render.Event) {})
	}
	for _, name := range []string{"locked.mp4", "unlocked.mp4"} {
		if report, err := serve(name); err != nil || report.Rendered != 0 {
			t.Fatalf("%s: %+v (%v)", name, report, err)
		}
		if got, err := os.ReadFile(filepath.Join(b.dir, name)); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not the same bytes (%v)", name, err)
		}
		readOnly(0)
		if err := os.RemoveAll(filepath.Join(cache, "segments", "lock")); err != nil {
			t.Fatal(err)
		}
		readOnly(syscall.MS_RDONLY)
	}
	readOnly(0)
	segments, err := filepath.Glob(filepath.Join(cache, "segments", "*", "*.mov"))
	if err != nil || len(segments) == 0 {
		t.Fatal(err)
	}
	if err := os.Remove(segments[0]); err != nil {
		t.Fatal(err)
	}
	readOnly(syscall.MS_RDONLY)
	if _, err := serve("lacking.mp4"); !errors.Is(err, syscall.EROFS) || !strings.Contains(err.Error(), "in the cache") {
		t.Errorf("a segment is not there: error %v, want that the cache cannot be written to", err)
	}
	noLeftovers(t, filepath.Join(b.dir, "lacking.mp4"), filepath.Join(cache, "segments"))
}
