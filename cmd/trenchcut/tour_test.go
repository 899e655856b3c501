package main

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/templates"
)

const readme = "../../README.md"

// tourReels is added to each reel of the tour, which would take minutes: fewer plays, and
// small pictures.
const tourReels = " play=5,51 --set size=320x180 --set rate=5"

// cuts matches the commands that cut film.
var cuts = regexp.MustCompile(`^trenchcut (reel|warm|handout)`)

// step is a command of the README's tour, and what the README says it prints, if it does.
type step struct {
	command string
	prints  []string // lines
	at      int      // line of the README behind the command
}

// TestTour takes the README's tour: every command of it works and says something, and what
// it is said to print is what it prints. With -update the README is made to show that.
func TestTour(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	steps := tourOf(lines)
	quotes := 0
	for _, s := range steps {
		if len(s.prints) > 0 {
			quotes++
		}
	}
	if len(steps) < 15 || quotes < 3 {
		t.Fatalf("the README's tour has %d commands and shows what %d of them print, want 15 and 3 at least", len(steps), quotes)
	}
	dir := t.TempDir()
	writeTourSeason(t, dir)
	recipe := yamlWith(t, string(data), "counters.reel.yaml")
	if err := os.WriteFile(filepath.Join(dir, "counters.reel.yaml"), []byte(recipe), 0o666); err != nil {
		t.Fatal(err)
	}
	var logo bytes.Buffer
	if err := png.Encode(&logo, image.NewGray(image.Rect(0, 0, 300, 200))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "logo.png"), logo.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	var printed [][]string
	for _, s := range steps {
		line := s.command
		if cuts.MatchString(line) {
			command, about, _ := strings.Cut(line, "  #")
			line = command + tourReels + "  #" + about
		}
		cmd := exec.Command("sh", "-c", line)
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), session.CacheVariable+"="+filepath.Join(dir, ".cache"), "COLUMNS=80", "GORACE=atexit_sleep_ms=0")
		out, err := cmd.CombinedOutput() // as a terminal shows it
		if err != nil {
			t.Fatalf("%s: %v\n%s", line, err, out)
		}
		if len(out) == 0 {
			t.Errorf("%s prints nothing", line)
		}
		got := strings.Split(strings.TrimRight(string(out), "\n"), "\n")
		if len(s.prints) > 0 && !*update {
			if diff := cmp.Diff(s.prints, got); diff != "" {
				t.Errorf("%s prints other than the README says (- README, + printed):\n%s", line, diff)
			}
		}
		printed = append(printed, got)
	}
	if *update {
		for i, s := range slices.Backward(steps) {
			if n := len(s.prints); n > 0 {
				lines = slices.Replace(lines, s.at, s.at+n, printed[i]...)
			}
		}
		if err := os.WriteFile(readme, []byte(strings.Join(lines, "\n")), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// tourOf is the commands in the README's consoles, in order: a line behind "$ ", and what it
// prints up to the next or to the end of the block.
func tourOf(lines []string) []step {
	var steps []step
	inside := false
	for i, line := range lines {
		command, is := strings.CutPrefix(line, "$ ")
		switch {
		case line == "```console":
			inside = true
		case line == "```":
			inside = false
		case inside && is:
			steps = append(steps, step{command: command, at: i + 1})
		case inside && len(steps) > 0:
			last := &steps[len(steps)-1]
			last.prints = append(last.prints, line)
		}
	}
	return steps
}

// TestReadmeTags reads the tag file in the README.
func TestReadmeTags(t *testing.T) {
	data, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	g, faults := tags.ParseGame("readme.game.yaml", []byte(yamlWith(t, string(data), "game: {id: wk2-harbor,")), v)
	for _, f := range faults {
		t.Error(f)
	}
	if len(g.Plays) != 1 || len(g.Plays[0].Reps) != 2 {
		t.Errorf("%d plays, want 1 of 2 reps", len(g.Plays))
	}
}

// yamlWith is the README's one block of YAML that holds a text.
func yamlWith(t *testing.T, readme, holds string) string {
	t.Helper()
	for _, b := range strings.Split(readme, "```yaml\n")[1:] {
		if b, _, _ = strings.Cut(b, "```"); strings.Contains(b, holds) {
			return b
		}
	}
	t.Fatalf("the README has no block with %q", holds)
	return ""
}

// writeTourSeason writes the demo's tag files, with plain film as long as the demo's, at its
// rates, and silent where that is. Drawing the demo's own takes a minute.
func writeTourSeason(t *testing.T, dir string) {
	t.Helper()
	names, err := fs.Glob(templates.FS, "demo/*"+tags.Suffix)
	if err != nil || len(names) == 0 {
		t.Fatalf("no demo season among the templates: %v", err)
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		data, err := templates.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, filepath.Base(name))
		if err := os.WriteFile(file, data, 0o666); err != nil {
			t.Fatal(err)
		}
		g, faults := tags.ParseGame(file, data, v)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		for _, f := range g.Films {
			rate, sound := "30000/1001", true
			if g.ID == "wk2-granite" && f.Angle == "sideline" {
				rate, sound = "25", false
			}
			g.SetClock(f.File, tags.Clock{Rate: tags.Rate{Num: 30, Den: 1}})
			view, err := g.Plays[len(g.Plays)-1].View(f.Angle)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.MkdirAll(filepath.Dir(f.File), 0o777); err != nil {
				t.Fatal(err)
			}
			args := []string{"-f", "lavfi", "-i", "color=c=gray:s=64x36:r=" + rate}
			if sound {
				args = append(args, "-f", "lavfi", "-i", "anullsrc", "-c:a", "aac")
			}
			seconds := strconv.FormatInt(int64(view.Out/tags.Second)+2, 10)
			args = append(args, "-t", seconds, "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p", "file:"+f.File)
			if err := tool.Run(context.Background(), args, nil, nil); err != nil {
				t.Fatal(err)
			}
		}
	}
}
