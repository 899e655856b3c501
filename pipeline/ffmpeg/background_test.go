//go:build linux

package ffmpeg

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// What runs in the background gives way, and what somebody waits for does not.
func TestInBackground(t *testing.T) {
	t.Parallel()
	own, err := syscall.Getpriority(syscall.PRIO_PROCESS, 0) // 20 less the nice value
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		ctx  context.Context
		want string
	}{{t.Context(), fmt.Sprint(20 - own)}, {InBackground(t.Context()), fmt.Sprint(nice)}} {
		script := filepath.Join(t.TempDir(), "ffmpeg")
		// The nineteenth field of proc(5)'s stat is the nice value, here read when it is set.
		if err := os.WriteFile(script, []byte("#!/bin/sh\nsleep 0.5\ncut -d' ' -f19 /proc/$$/stat\n"), 0o777); err != nil {
			t.Fatal(err)
		}
		out, err := Tool{}.output(test.ctx, script)
		if got := strings.TrimSpace(string(out)); err != nil || got != test.want {
			t.Errorf("it gives way by %q (%v), want %s", got, err, test.want)
		}
	}
}
