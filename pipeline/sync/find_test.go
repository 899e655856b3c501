package sync

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// moving is a graph of eight seconds in which two blocks begin to move after three.
const moving = "color=s=128x72:r=25:c=0x2a6e2a:d=8[f];testsrc2=s=24x24:r=25:d=8,split[a][b];" +
	`[f][a]overlay=x=40+30*gt(t\,3)*sin(9*(t-3)):y=6[p];[p][b]overlay=x=60-40*gt(t\,3)*sin(7*(t-3)):y=40,noise=alls=6:allf=t[v]`

// clips makes the clip of a play from two angles. The second camera begins 0.6 s later. Its
// sound is the first's, or another with other sound.
func clips(t *testing.T, tool ffmpeg.Tool, otherSound bool) (dir string) {
	t.Helper()
	dir = t.TempDir()
	sound := func(seed int) string { return fmt.Sprintf("anoisesrc=r=48000:a=0.3:c=brown:seed=%d:d=8[s]", seed) }
	seed := 3
	if otherSound {
		seed = 4
	}
	makeFilm(t, tool, filepath.Join(dir, "ez.mp4"), "-filter_complex", moving+";"+sound(3), "-map", "[v]", "-map", "[s]", "-pix_fmt", "yuv420p")
	makeFilm(t, tool, filepath.Join(dir, "sl.mp4"), "-filter_complex", moving+";"+sound(seed), "-map", "[v]", "-map", "[s]", "-ss", "0.6", "-pix_fmt", "yuv420p")
	return dir
}

// findIn is what is found in a game whose plays are given.
func findIn(t *testing.T, library *film.Library, dir, plays string) (*Proposal, *tags.Vocabulary) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "wk1.game.yaml")
	if err := os.WriteFile(file, []byte("trenchcut: 1\ngame: {id: wk1}\nfilm: {endzone: , sideline: }\nplays:\n"+plays), 0o666); err != nil {
		t.Fatal(err)
	}
	season, faults, err := tags.Cache{}.Load([]string{file}, v)
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	films, faults, err := library.Survey(context.Background(), season.Games)
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	if faults := season.Games[0].CheckFilm(plan.Extents(films)); faults.Err() != nil {
		t.Fatal(faults)
	}
	found, err := Find(context.Background(), library, season, films, Request{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return found[0], v
}

const clipPlay = "  - {play: 1, angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4}}}\n"

// Sound that tells nothing sure gives way to a guess. An ffmpeg that fails does not: what
// it would have heard is not known.
func TestFailedIsNotUnsure(t *testing.T) {
	whole, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	dir := clips(t, whole, true)
	p, v := findIn(t, film.NewLibrary(whole, ""), dir, clipPlay)
	if f := p.Findings[0]; len(p.Findings) != 1 || f.Err != nil || !f.Guess {
		t.Fatalf("with other sound it is %+v, want a guess", f)
	}
	if e, err := p.Edit(v); err != nil || len(e.Changes) != 2 {
		t.Errorf("a guess makes the edit %+v (%v), want the snap and its mark", e, err)
	}
	for name, end := range map[string]string{"fails": "echo out of luck >&2; exit 1", "killed": "kill -9 $$", "says nothing": "exit 0"} {
		fake := filepath.Join(t.TempDir(), "ffmpeg")
		script := fmt.Sprintf("#!/bin/sh\ncase \"$*\" in *s16le*) %s;; esac\nexec %s \"$@\"\n", end, whole.FFmpeg)
		if err := os.WriteFile(fake, []byte(script), 0o777); err != nil {
			t.Fatal(err)
		}
		p, v := findIn(t, film.NewLibrary(ffmpeg.Tool{FFmpeg: fake, FFprobe: whole.FFprobe}, ""), dir, clipPlay)
		f := p.Findings[0]
		if !f.Failed || f.Err == nil || errors.Is(f.Err, ErrUnsure) {
			t.Errorf("%s: the finding is %+v, want a failure", name, f)
		}
		if e, err := p.Edit(v); err != nil || len(e.Changes) > 0 {
			t.Errorf("%s: the edit is %+v (%v), want none", name, e, err)
		}
	}
}

// A guess that sound replaces is no guess any more, and its mark goes.
func TestGuessThatSoundReplaces(t *testing.T) {
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	dir := clips(t, tool, false)
	const plays = `  - {play: 1, extra: {guess: sideline snap}, angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 2s}}}
  - play: 2
    extra:
      hash: left
      guess: sideline snap # not looked at
    angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 2s}}
  - {play: 3, extra: {guess: snap}, angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 2s}}}
  - {play: 4, extra: {guess: endzone snap}, angles: {endzone: {file: ez.mp4, snap: 2s}, sideline: {file: sl.mp4, snap: 2.4s}}}
`
	p, v := findIn(t, film.NewLibrary(tool, ""), dir, plays)
	for _, f := range p.Findings {
		if f.Err != nil || !f.BySound || f.Guess != (f.Play.Number == 3) {
			t.Fatalf("play %d: %+v, want it found by sound", f.Play.Number, f)
		}
	}
	e, err := p.Edit(v)
	if err != nil {
		t.Fatal(err)
	}
	if err := e.Write(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(e.File)
	if err != nil {
		t.Fatal(err)
	}
	_, got, _ := strings.Cut(string(data), "plays:\n")
	// Sound is good to a few milliseconds, of a frame's 40.
	got = regexp.MustCompile(`0:00:02\.(39|40)\d`).ReplaceAllString(got, "0:00:02.400")
	got = regexp.MustCompile(`0:00:0(2\.99|3\.00)\d`).ReplaceAllString(got, "0:00:03.000")
	const want = `  - {play: 1, angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 0:00:02.400}}}
  - play: 2
    extra:
      hash: left
    angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 0:00:02.400}}
  - {play: 3, extra: {guess: snap}, angles: {endzone: {file: ez.mp4, snap: 3s}, sideline: {file: sl.mp4, snap: 0:00:02.400}}}
  - {play: 4, angles: {endzone: {file: ez.mp4, snap: 0:00:03.000}, sideline: {file: sl.mp4, snap: 2.4s}}}
`
	if got := strings.ReplaceAll(got, `"`, ""); got != want {
		t.Errorf("the plays are\n%swant\n%s", got, want)
	}
	again, v := findIn(t, film.NewLibrary(tool, ""), dir, got)
	if e, err := again.Edit(v); err != nil || len(again.Findings) != 1 || len(e.Changes) > 1 {
		t.Errorf("found again: %d findings, edit %+v (%v), want play 3 alone", len(again.Findings), e, err)
	}
}
