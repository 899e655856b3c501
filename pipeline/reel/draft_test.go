package reel

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// tagged is a session of one game, whose film nobody looked at.
func tagged(t *testing.T) *session.Session {
	t.Helper()
	file := filepath.Join(t.TempDir(), "wk1.game.yaml")
	if err := os.WriteFile(file, []byte(`trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
film: {endzone: {file: end.mp4}}
people: {marlow: {name: Teo Marlow, team: us, jersey: 91}}
plays:
  - {play: 1, type: dropback, in: 1s, out: 4s, reps: [91 9 spin short won]}
  - {play: 2, type: dropback, in: 6s, out: 9s, reps: [91 9 rip short lost]}
  - {play: 3, type: run, in: 11s, out: 14s}
`), 0o666); err != nil {
		t.Fatal(err)
	}
	t.Setenv(session.CacheVariable, t.TempDir())
	s, err := session.Load(t.Context(), session.Request{Games: []string{file}})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Faults.Err(); err != nil {
		t.Fatal(err)
	}
	return s
}

func read(t *testing.T, q Request) Recipe {
	t.Helper()
	r, err := ReadRecipe(q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestChoose(t *testing.T) {
	s := tagged(t)
	for name, c := range map[string]struct {
		request Request
		title   string
		plays   int // in the first part
	}{
		"terms":           {Request{Terms: []string{"move=spin"}}, "Spin", 1},
		"everything":      {Request{}, "Everything", 2},
		"plays":           {Request{Settings: []plan.Setting{{Key: "plays", Value: "yes"}}}, "Everything", 3},
		"a condition":     {Request{Where: `battle == "lost"`}, "", 1},
		"a title":         {Request{Settings: []plan.Setting{{Key: "title", Value: "Week 1"}}}, "Week 1", 2},
		"nobody is named": {Request{Terms: []string{"rusher=91"}, Settings: []plan.Setting{{Key: "names", Value: "none"}}}, "Reel", 2},
	} {
		d, err := Choose(t.Context(), s, read(t, c.request))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if c.title != "" && d.Recipe.Title != c.title {
			t.Errorf("%s: the title is %q, want %q", name, d.Recipe.Title, c.title)
		}
		if n := len(d.Parts[0].Plays); n != c.plays {
			t.Errorf("%s: %d plays, want %d", name, n, c.plays)
		}
	}
}

// The opening slate says what was asked for besides the recipe, a condition too.
func TestAsked(t *testing.T) {
	s := tagged(t)
	for _, c := range []struct {
		request      Request
		title, asked string
	}{
		{Request{Recipe: "highlight", Terms: []string{"rusher=91", "set=short"}}, "Highlights: #91 Teo Marlow", "Short set"},
		{Request{Recipe: "meeting", Terms: []string{"move=spin", "set=short"}}, "Position meeting", "Spin, short set"},
		{Request{Recipe: "meeting", Where: "down == 3 || true"}, "Position meeting", "Chosen by a condition"},
		{Request{Recipe: "highlight", Where: "'marlow' in rusher && set == 'short'"}, "Highlights: #91 Teo Marlow", "Chosen by a condition"},
		{Request{Recipe: "teach", Terms: []string{"move=spin", "set=short"}}, "Spin", "Short set"},
	} {
		d, err := Choose(t.Context(), s, read(t, c.request))
		if err != nil {
			t.Fatal(err)
		}
		if d.Recipe.Title != c.title || d.Asked != c.asked {
			t.Errorf("%+v: %q, %q, want %q, %q", c.request, d.Recipe.Title, d.Asked, c.title, c.asked)
		}
	}
}

func TestChooseNothing(t *testing.T) {
	s := tagged(t)
	_, err := Choose(t.Context(), s, read(t, Request{Terms: []string{"set=jump"}}))
	if !errors.Is(err, plan.ErrNothing) || !strings.Contains(err.Error(), "nothing tagged meets jump set") {
		t.Errorf("error %v, want ErrNothing", err)
	}
	_, err = Choose(t.Context(), s, read(t, Request{Terms: []string{"type=run"}}))
	if !errors.Is(err, plan.ErrNothing) || !strings.Contains(err.Error(), "1 play does; --plays chooses plays") {
		t.Errorf("error %v, want the play that there is", err)
	}
	_, err = Choose(t.Context(), s, read(t, Request{Settings: []plan.Setting{plan.List("angles", []string{"endzon"})}}))
	var wrong *tags.RequestError
	if !errors.As(err, &wrong) || !strings.Contains(err.Error(), `did you mean "endzone"?`) {
		t.Errorf("error %v, want the angle that there is", err)
	}
}

func TestReadRecipe(t *testing.T) {
	var wrong *tags.RequestError
	if _, err := ReadRecipe(Request{Recipe: "corection"}); !errors.As(err, &wrong) || !strings.Contains(err.Error(), `did you mean "correction"?`) {
		t.Errorf("error %v, want the recipe that there is", err)
	}
	if _, err := ReadRecipe(Request{Settings: []plan.Setting{{Key: "look", Value: `{ink: "#555555"}`}}}); !errors.As(err, &wrong) {
		t.Errorf("a look that cannot be read: error %v", err)
	}
	if r := read(t, Request{Settings: []plan.Setting{{Key: "look", Value: `{team: ["#cc1122", "#ffcc33"], nearest: yes}`}}}); len(r.Adjusted) == 0 {
		t.Error("nobody is told that colours were moved")
	}
	file := filepath.Join(t.TempDir(), "x.reel.yaml")
	if err := os.WriteFile(file, []byte("trenchcut: 1\ntitel: x\nintro: gone.png\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	var faults tags.Faults
	if _, err := ReadRecipe(Request{Recipe: file}); !errors.As(err, &faults) || faults[0].Pos.Line != 2 {
		t.Errorf("error %v, want a fault in line 2", err)
	}
}

func TestOutput(t *testing.T) {
	s := tagged(t)
	dir := t.TempDir()
	film := filepath.Join(dir, "end.mp4")
	if err := os.WriteFile(film, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	s.Films = map[string]plan.Source{film: {}}
	d, err := Choose(t.Context(), s, read(t, Request{Settings: []plan.Setting{{Key: "title", Value: "Inside: counters, Ōtepoti"}}}))
	if err != nil {
		t.Fatal(err)
	}
	if out, err := d.Output(""); err != nil || out != "inside-counters-ōtepoti.mp4" {
		t.Errorf("the output is %q (%v)", out, err)
	}
	refused := map[string]string{
		filepath.Join(dir, "reel.avi"):         "its name ends in .mp4",
		filepath.Join(dir, "gone", "reel.mp4"): "there is no folder",
		film:                                   "a reel never replaces film",
	}
	if runtime.GOOS == "windows" {
		refused["con.mp4"] = `Windows takes "con.mp4" for a device`
	}
	for named, why := range refused {
		var wrong *tags.RequestError
		if _, err := d.Output(named); !errors.As(err, &wrong) || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: error %v, want %q", named, err, why)
		}
	}
}

func TestSizes(t *testing.T) {
	for text, want := range map[string]int64{"0": 0, "700kB": 700_000, "1.5 GB": 1_500_000_000, "200mb": 200_000_000, "12": 12} {
		if got, err := ParseSize(text); err != nil || got != want {
			t.Errorf("%q is %d (%v), want %d", text, got, err, want)
		}
	}
	for _, text := range []string{"", "much", "-1", "1e30", "NaN", "MB"} {
		if _, err := ParseSize(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
	for bytes, want := range map[int64]string{0: "0 B", 999: "999 B", 1500: "1.5 kB", 2_000_000_000: "2.0 GB"} {
		if got := Size(bytes); got != want {
			t.Errorf("%d is %q, want %q", bytes, got, want)
		}
	}
}
