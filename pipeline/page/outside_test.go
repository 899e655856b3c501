package page_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Outside judge: ffprobe reads the files back.
func TestVTTByFFprobe(t *testing.T) {
	ffprobe, err := exec.LookPath("ffprobe")
	if err != nil {
		t.Skip("no ffprobe here")
	}
	p, made := build(t, "reel.mp4", nil)
	for _, c := range []struct {
		name string
		data []byte
		cues int
	}{{"chapters", p.Chapters(), len(made.Entries)}, {"captions", p.Captions(), 3}} {
		file := filepath.Join(t.TempDir(), c.name+".vtt")
		if err := os.WriteFile(file, c.data, 0o666); err != nil {
			t.Fatal(err)
		}
		var complaints bytes.Buffer
		cmd := exec.CommandContext(context.Background(), ffprobe, "-v", "warning", "-show_entries", "packet=pts_time,duration_time", "-of", "csv=p=0", file)
		cmd.Stderr = &complaints
		out, err := cmd.Output()
		if err != nil || complaints.Len() > 0 {
			t.Fatalf("%s: %v %s", c.name, err, complaints.String())
		}
		lines := strings.Fields(string(out))
		if len(lines) != c.cues {
			t.Errorf("%s: %d cues, want %d: %s", c.name, len(lines), c.cues, lines)
		}
		if c.name != "chapters" {
			continue
		}
		end := 0.0
		for i, line := range lines {
			var start, length float64
			if _, err := fmt.Sscanf(line, "%f,%f", &start, &length); err != nil {
				t.Fatal(err)
			}
			if math.Abs(start-end) > .0005 {
				t.Errorf("chapter %d starts at %f, the one before ends at %f", i, start, end)
			}
			end = start + length
		}
		if want := made.House.Rate.Duration(made.Frames()).Seconds(); math.Abs(end-want) > .001 {
			t.Errorf("chapters end at %f, the reel at %f", end, want)
		}
	}
}

// The colours of text stand out from their grounds by 7:1 (WCAG 2, 1.4.6), and what only
// marks by 3:1 (1.4.11).
func TestContrast(t *testing.T) {
	style, err := os.ReadFile("page.css")
	if err != nil {
		t.Fatal(err)
	}
	light, dark, ok := bytes.Cut(style, []byte("@media screen and (prefers-color-scheme: dark)"))
	if !ok {
		t.Fatal("the pages have no dark colours")
	}
	colour := func(style []byte, name string) float64 {
		m := regexp.MustCompile(`--` + name + `: #([0-9a-f]{6});`).FindSubmatch(style)
		if m == nil {
			t.Fatalf("no colour %s", name)
		}
		n, err := strconv.ParseUint(string(m[1]), 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		part := func(v uint64) float64 { // WCAG 2.1, relative luminance
			c := float64(v&255) / 255
			if c <= .04045 {
				return c / 12.92
			}
			return math.Pow((c+.055)/1.055, 2.4)
		}
		return .2126*part(n>>16) + .7152*part(n>>8) + .0722*part(n)
	}
	for _, pair := range []struct {
		ink, ground string
		least       float64
	}{{"ink", "ground", 7}, {"ink", "soft", 7}, {"quiet", "ground", 7}, {"quiet", "soft", 7}, {"mark", "ground", 7}, {"mark", "soft", 7}, {"rule", "ground", 3}} {
		for name, style := range map[string][]byte{"light": light, "dark": dark} {
			a, b := colour(style, pair.ink), colour(style, pair.ground)
			if got := (max(a, b) + .05) / (min(a, b) + .05); got < pair.least {
				t.Errorf("%s: %s on %s: %.2f, want %.1f", name, pair.ink, pair.ground, got, pair.least)
			}
		}
	}
}
