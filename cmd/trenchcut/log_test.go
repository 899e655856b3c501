package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/render"
)

// What a tag file, a film's name or ffmpeg says cannot pass for a line of ours, nor tell
// the terminal anything.
func TestNothingIsForged(t *testing.T) {
	const evil = "p001\ntrenchcut: all is well\r\x1b[2Jx\u009b31m\u202eback\u2028next"
	var said bytes.Buffer
	o := logOptions{verbose: true}
	stop, err := o.open(streams{Err: &said})
	if err != nil {
		t.Fatal(err)
	}
	o.Info("segment", "clip", evil, "from", evil)
	o.Warn("left out", "what", evil)
	o.Warn("left out", "what", evil)
	if err := stop(nil); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(said.String(), "\n"); n != 2 {
		t.Errorf("%d lines were said, want 2: %q", n, said.String())
	}
	failure := &ffmpeg.Error{Err: errors.New("exit status 1"), Stderr: evil + "\n" + evil}
	printError(&said, nil, fmt.Errorf("%s: %w", evil, failure))
	printError(&said, nil, &render.FullError{Folder: evil, Err: failure})
	for line := range strings.Lines(said.String()) {
		if strings.HasPrefix(line, "trenchcut: all") {
			t.Errorf("the line %q is not ours", line)
		}
		if strings.ContainsAny(strings.TrimSuffix(line, "\n"), "\r\x1b\u009b\u202e\u2028") {
			t.Errorf("the terminal is told something by %q", line)
		}
	}
}

// Quiet, only what the user must know is said, and errors only at the end of the run.
func TestLevels(t *testing.T) {
	for verbose, want := range map[bool]string{
		false: "left out: a play\n",
		true:  "house: 1, from film\nleft out: a play\n",
	} {
		var said bytes.Buffer
		o := logOptions{verbose: verbose}
		stop, err := o.open(streams{Err: &said})
		if err != nil {
			t.Fatal(err)
		}
		o.Info("house", "of", 1, "from", "film")
		o.Warn("left out", "what", "a play")
		o.Error("failed", "error", "x")
		if err := stop(nil); err != nil || said.String() != want {
			t.Errorf("verbose %v: %q (%v), want %q", verbose, said.String(), err, want)
		}
	}
}
