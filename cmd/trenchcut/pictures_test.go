package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// make pictures gives it.
var pictures = flag.String("pictures", "", "draw the README's pictures anew from the demo season in this `folder`")

// still is a picture in the README: a frame of a reel of the demo season.
type still struct {
	file    string
	reel    string // made by reels
	chapter string // last of that name in the reel
	shows   plan.Shows
	frame   tags.Frame // since the chapter began, in the demo's 30 a second or nearly
	width   int
}

var reels = map[string][]string{
	"corrections.mp4":     {"-r", "correction", "rusher=91", "--page"},
	"inside-counters.mp4": {"inside-counter", "set=short", "-t", "Inside counters against short sets"}, // as make demo does
	"phone.mp4":           {"-r", "highlight", "rusher=91", "--shape", "phone"},
}

// A clip begins three seconds before the snap.
var stills = []still{
	{"before-the-snap.png", "corrections.mp4", "wk1-harbor-p005-91 endzone", "", 80, 640},
	{"rush.png", "corrections.mp4", "wk1-harbor-p005-91 endzone", "", 90 + 60, 640},
	{"freeze.png", "corrections.mp4", "wk2-granite-p051-91 why", "why", 60, 640},
	{"numbers.png", "inside-counters.mp4", "Numbers", "", 60, 640},
	{"tall.png", "phone.mp4", "wk1-harbor-p005-91 endzone", "", 90 + 57, 270},
}

// pagePictures is the others, which the tests of pages draw: the page beside corrections.mp4,
// the marking page, and its board.
var pagePictures = []string{"page.png", "tagging.png", "board.png"}

const pictureFolder = "../../testdata"

// TestPictures holds the README to pictures that are there, are said in words, and are small.
// With -pictures it draws them instead.
func TestPictures(t *testing.T) {
	if *pictures != "" {
		drawPictures(t, *pictures)
		return
	}
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]bool{}
	for _, m := range regexp.MustCompile(`!\[([^\]]*)\]\(testdata/([^)]+)\)`).FindAllStringSubmatch(string(text), -1) {
		if shown[m[2]] = true; len(m[1]) < 20 {
			t.Errorf("%s is said in no words: %q", m[2], m[1])
		}
	}
	files := slices.Clone(pagePictures)
	for _, s := range stills {
		files = append(files, s.file)
	}
	for _, file := range files {
		if !shown[file] {
			t.Errorf("the README does not show %s", file)
		}
		delete(shown, file)
		data, err := os.ReadFile(filepath.Join(pictureFolder, file))
		if err != nil {
			t.Error(err)
			continue
		}
		size, err := png.DecodeConfig(bytes.NewReader(data))
		if err != nil {
			t.Errorf("%s: %v", file, err)
		}
		if size.Width > 640 || len(data) > 150_000 {
			t.Errorf("%s is %d wide and has %d bytes, want 640 and 150,000 at most", file, size.Width, len(data))
		}
	}
	for file := range shown {
		t.Errorf("nothing draws %s anew", file)
	}
}

// drawPictures makes the reels in the demo's folder, and takes the pictures out of them.
func drawPictures(t *testing.T, demo string) {
	t.Helper()
	for reel, args := range reels {
		cmd := exec.Command("trenchcut", append([]string{"reel", "-g", ".", "-o", reel}, args...)...)
		cmd.Dir = demo
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", reel, err, out)
		}
	}
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range stills {
		reel := filepath.Join(demo, s.reel)
		// All colours in one palette, or grass takes too many bytes.
		filter := fmt.Sprintf(`select=eq(n\,%d),scale=%d:-2:flags=lanczos,split[a][b];[a]palettegen[p];[b][p]paletteuse=dither=none`, s.at(t, reel), s.width)
		if err := tool.Run(context.Background(), []string{
			"-v", "error", "-y", "-i", "file:" + reel, "-vf", filter, "-frames:v", "1", "-update", "1", "file:" + filepath.Join(pictureFolder, s.file),
		}, nil, nil); err != nil {
			t.Fatal(err)
		}
	}
}

// at is the number of s's frame in its reel.
func (s still) at(t *testing.T, reel string) tags.Frame {
	t.Helper()
	data, err := os.ReadFile(render.ManifestPath(reel))
	if err != nil {
		t.Fatal(err)
	}
	var manifest render.Manifest
	if err := json.Unmarshal(data, &manifest); err != nil {
		t.Fatal(err)
	}
	frame := tags.Frame(-1)
	for _, e := range manifest.Entries {
		if at := e.Reel.In + s.frame; e.Chapter == s.chapter && e.Shows == s.shows && at < e.Reel.Out {
			frame = at
		}
	}
	if frame < 0 {
		t.Fatalf("%s has no %q of %d frames", s.reel, s.chapter, s.frame)
	}
	return frame
}
