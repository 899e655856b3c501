//go:build unix

package render_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

var kills = flag.Int("kills", 3, "how often TestKilled kills a run")

// errand is what a run that is going to be killed is to make.
type errand struct {
	Plan  *plan.Plan
	Films []string
	Cache string
	Out   string
}

// errandVariable names the environment variable that makes this test program do an errand.
const errandVariable = "TRENCHCUT_TEST_ERRAND"

func TestMain(m *testing.M) {
	if file := os.Getenv(errandVariable); file != "" {
		if err := doErrand(file); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func doErrand(file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	var e errand
	if err := json.Unmarshal(data, &e); err != nil {
		return err
	}
	maker, err := newMaker(e.Cache)
	if err != nil {
		return err
	}
	for _, path := range e.Films {
		if _, err := maker.Films.(*film.Library).Source(context.Background(), path); err != nil {
			return err
		}
	}
	_, err = maker.Make(context.Background(), e.Plan, e.Out, false, func(render.Event) {})
	return err
}

// However often a run is killed outright, the next one that is let be makes the same bytes
// as one that never was disturbed, and leaves nothing behind.
func TestKilled(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	path := b.film(footage{name: "film.mp4", width: 320, height: 180, rate: rate2997, frames: 600, sound: true})
	p := b.plan(b.season(map[string]string{"endzone": path}, plays(41, 10, 600, "endzone")), nil)
	undisturbed, _ := b.make(p, "undisturbed.mp4")
	want, err := os.ReadFile(undisturbed)
	if err != nil {
		t.Fatal(err)
	}

	e := errand{Plan: p, Films: []string{path}, Cache: filepath.Join(b.dir, "other"), Out: filepath.Join(b.dir, "reel.mp4")}
	data, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(b.dir, "errand")
	if err := os.WriteFile(file, data, 0o666); err != nil {
		t.Fatal(err)
	}
	run := func(life time.Duration) error {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), errandVariable+"="+file)
		var said bytes.Buffer
		cmd.Stderr = &said
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if life > 0 {
			timer := time.AfterFunc(life, func() { _ = cmd.Process.Kill() })
			defer timer.Stop()
		}
		if err := cmd.Wait(); err != nil {
			return fmt.Errorf("%w: %s", err, said.String())
		}
		return nil
	}
	r := rand.New(rand.NewPCG(42, 0))
	killed := 0
	for range *kills {
		if run(time.Duration(50+r.IntN(1000))*time.Millisecond) != nil {
			killed++
			continue
		}
		// It was quicker than the killer: from the start.
		if got, err := os.ReadFile(e.Out); err != nil || !bytes.Equal(got, want) {
			t.Fatalf("after %d kills the reel is %d bytes, want %d (%v)", killed, len(got), len(want), err)
		}
		for _, left := range []string{e.Out, render.ManifestPath(e.Out), e.Cache} {
			if err := os.RemoveAll(left); err != nil {
				t.Fatal(err)
			}
		}
	}
	if killed == 0 {
		t.Fatal("no run was killed, so this proves nothing")
	}
	if err := run(0); err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(e.Out); err != nil || !bytes.Equal(got, want) {
		t.Errorf("after %d kills the reel is %d bytes, want the %d of an undisturbed one (%v)", killed, len(got), len(want), err)
	}
	if _, err := os.Stat(filepath.Join(e.Cache, "segments", "work")); !os.IsNotExist(err) {
		t.Errorf("work was left behind in the cache (%v)", err)
	}
	left, err := filepath.Glob(filepath.Join(b.dir, ".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("%q were left beside the reel (%v)", left, err)
	}
	t.Logf("%d runs were killed", killed)
}
