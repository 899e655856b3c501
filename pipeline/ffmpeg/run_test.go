//go:build unix

package ffmpeg

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"trenchcut/tags"
)

// fake is an ffmpeg of a few lines of shell, for what the real one does too seldom to wait
// for. Nothing else is tested with one.
func fake(t *testing.T, script string) Tool {
	t.Helper()
	path := filepath.Join(t.TempDir(), "ffmpeg")
	// A process that is started meanwhile would inherit the open file, which then is busy.
	syscall.ForkLock.RLock()
	err := os.WriteFile(path, []byte("#!/bin/sh\n"+script), 0o755)
	syscall.ForkLock.RUnlock()
	if err != nil {
		t.Fatal(err)
	}
	return Tool{FFmpeg: path, FFprobe: path}
}

func TestRunOfABadFFmpeg(t *testing.T) {
	for name, c := range map[string]struct {
		script string
		want   error // nil is any
		again  bool
		says   string
	}{
		"hangs":             {"exec sleep 3600", ErrStuck, false, ""},
		"hangs, and talks":  {"while true; do echo frame=1; echo out_time_us=1; sleep 0.05; done", ErrStuck, false, ""},
		"dies of a signal":  {"kill -KILL $$", nil, true, ""},
		"breaks down":       {"echo Invalid data found >&2; kill -SEGV $$", nil, false, "Invalid data"},
		"fails":             {"echo no such filter >&2; exit 1", nil, false, "no such filter"},
		"complains, exit 0": {"echo truncated >&2; exit 0", ErrComplained, false, "truncated"},
		"short of memory":   {"echo 'Cannot allocate memory' >&2; exit 1", nil, true, "memory"},
		"a full disk":       {"echo 'av_interleaved_write_frame(): No space left on device' >&2; exit 1", ErrFull, false, "space"},
		"full, and exit 0":  {"echo 'Error writing trailer: Disk quota exceeded' >&2", ErrFull, false, "quota"},
		"says a lot":        {"yes 'a long line of complaint' | head -c 5000000 >&2; echo the end >&2; exit 1", nil, false, "the end"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tool := fake(t, c.script)
			if errors.Is(c.want, ErrStuck) {
				tool.Patience = 300 * time.Millisecond
			}
			err := tool.Run(context.Background(), []string{"out"}, nil, nil)
			var failed *Error
			if !errors.As(err, &failed) || failed.Again != c.again || c.want != nil && !errors.Is(err, c.want) || !strings.Contains(failed.Stderr, c.says) {
				t.Fatalf("error %v, want %v that says %q and may be tried again: %v", err, c.want, c.says, c.again)
			}
			if len(failed.Stderr) > tailSize {
				t.Errorf("%d bytes of what it said were kept", len(failed.Stderr))
			}
		})
	}
}

// One that is slow but gets on is let be.
func TestRunIsPatientWithTheSlow(t *testing.T) {
	t.Parallel()
	// In all it takes longer than the patience there is, and each step far less.
	tool := fake(t, "for i in 1 2 3 4 5 6; do echo frame=$i; echo out_time_us=$i; sleep 2; done")
	tool.Patience = 10 * time.Second
	var last tags.Frame
	err := tool.Run(context.Background(), nil, nil, func(n tags.Frame) { last = n })
	if err != nil || last != 6 {
		t.Errorf("error %v after frame %d, want none after 6", err, last)
	}
}

func TestOutputOfABadFFmpeg(t *testing.T) {
	t.Parallel()
	hangs := fake(t, "exec sleep 3600")
	hangs.Patience = 300 * time.Millisecond
	if _, err := hangs.Version(context.Background()); !errors.Is(err, ErrStuck) {
		t.Errorf("error %v, want ErrStuck", err)
	}
	// One that wrote a picture and then stands still is ended.
	pictures := 0
	stands := fake(t, "echo 12345678; exec sleep 3600")
	stands.Patience = time.Second
	err := stands.Pictures(context.Background(), nil, 4, func([]byte) error { pictures++; return nil })
	if !errors.Is(err, ErrStuck) || pictures != 2 {
		t.Errorf("error %v after %d pictures, want ErrStuck after 2", err, pictures)
	}
	if _, err := fake(t, "echo not JSON").Probe(context.Background(), "film.mp4"); err == nil {
		t.Error("a report that is none was read")
	}
	ctx, stop := context.WithCancel(context.Background())
	time.AfterFunc(50*time.Millisecond, stop)
	if _, err := fake(t, "exec sleep 3600").Version(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that it was stopped", err)
	}
}

// Stills of which 4.4 finds none, and breaks down over that, are none.
func TestStillsOfABreakDown(t *testing.T) {
	none := func([]byte) error { return errors.New("a picture came") }
	if err := fake(t, "kill -SEGV $$").Stills(t.Context(), []string{"pipe:1"}, none); err != nil {
		t.Errorf("error %v, want no picture", err)
	}
	if err := fake(t, "echo no such filter >&2; exit 1").Stills(t.Context(), []string{"pipe:1"}, none); err == nil {
		t.Error("a failed run is taken for no picture")
	}
}
