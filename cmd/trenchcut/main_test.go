package main

import (
	"context"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"trenchcut/pipeline/ffmpeg"
)

var update = flag.Bool("update", false, "rewrite what scripts compare with")

// TestMain gives scripts the command trenchcut.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"trenchcut": main})
}

func TestScripts(t *testing.T) {
	const dir = "testdata/script"
	scripts, err := filepath.Glob(filepath.Join(dir, "*.txtar"))
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts in %s: %v", dir, err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 dir,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv(cacheVariable, filepath.Join(env.WorkDir, ".cache"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "film": makeFilm},
	})
}

// exits is "exits 3 trenchcut check": run a command and expect its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code command [argument…]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// makeFilm is "film season/ez.mp4 9000 30000/1001": a real film, tiny and plain.
func makeFilm(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: film file frames rate")
	}
	path := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o777))
	tool, err := ffmpeg.Find()
	ts.Check(err)
	ts.Check(tool.Run(context.Background(), []string{
		"-f", "lavfi", "-i", "color=c=gray:s=64x36:r=" + args[2], "-frames:v", args[1],
		"-c:v", "libx264", "-preset", "ultrafast", "-g", "600", "-pix_fmt", "yuv420p", "file:" + path,
	}, nil, nil))
}
