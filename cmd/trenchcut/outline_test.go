package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// On the demo's film every play is found by itself, and its snap to a quarter of a second.
// The film takes a minute to draw, so it is looked for where make demo leaves it.
func TestOutlineOfDemo(t *testing.T) {
	dir := os.Getenv("TRENCHCUT_DEMO")
	if dir == "" {
		dir = "../../demo"
	}
	files, err := filepath.Glob(filepath.Join(dir, "*"+tags.Suffix))
	if err != nil || len(files) == 0 {
		t.Skipf("no demo season in %s: make demo writes one, TRENCHCUT_DEMO names another", dir)
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	season, faults, err := tags.Cache{}.Load(files, vocabulary)
	if err != nil || faults.Err() != nil {
		t.Fatal(err, faults)
	}
	tool, err := ffmpeg.Find()
	if err != nil {
		t.Fatal(err)
	}
	library := film.NewLibrary(tool, "")
	checked := 0
	for _, g := range season.Games {
		for _, of := range g.Films {
			glance, err := library.Glance(context.Background(), of.File, 2, nil)
			if err != nil {
				t.Fatal(err)
			}
			g.SetClock(of.File, glance.Source.Clock())
			shots := glance.Shots(2 * tags.Second)
			if len(shots) != len(g.Plays) {
				t.Errorf("%s: %d shots, want %d", of.File, len(shots), len(g.Plays))
				continue
			}
			for i, p := range g.Plays {
				v, err := p.View(of.Angle)
				if err != nil {
					t.Fatal(err)
				}
				clock := glance.Source.Clock()
				s := shots[i]
				frame := clock.Rate.Duration(1) // plays follow one another closely
				if s.Off != "" || clock.At(s.Span.In) > v.In+frame || clock.At(s.Span.Out) < v.Out-frame {
					t.Errorf("%s on %s: the shot is %s to %s (%s), want %s to %s in it", p.Name(), of.Angle, clock.At(s.Span.In), clock.At(s.Span.Out), s.Off, v.In, v.Out)
				}
				if d := clock.At(s.Snap) - v.Snap; !s.Snaps || max(d, -d) > tags.Second/4 {
					t.Errorf("%s on %s: the snap is %s off", p.Name(), of.Angle, d)
				}
				checked++
			}
		}
	}
	if checked < 60 {
		t.Errorf("only %d plays were looked at", checked)
	}
}

func TestFilmArguments(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{
		"ez.mp4", "a.mp4", "b.mp4", "x=y.mp4", "clips/9.mp4", "clips/10.mp4",
		"named/wk2-014-ez.mp4", "named/wk2-014-sl.mp4", "named/wk2-015-ez.mp4", "named/.hidden-ez.mp4", "named/notes.txt",
		"folders/endzone/720p-2.mov", "folders/endzone/720p-11.mov", "folders/side/720p-2.MOV",
		"turns/c1.mp4", "turns/c2.mp4", "turns/c10.mp4", "empty/readme.md",
	} {
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		args []string
		want []reelFilm
		errs int
	}{
		{[]string{"ez.mp4"}, []reelFilm{{angles: []string{"endzone"}, files: []string{"ez.mp4"}}}, 0},
		{[]string{"sideline,endzone=a.mp4"}, []reelFilm{{angles: []string{"sideline", "endzone"}, files: []string{"a.mp4"}}}, 0},
		{[]string{"wide=a.mp4", "ez.mp4", "wide=b.mp4"}, []reelFilm{
			{angles: []string{"wide"}, files: []string{"a.mp4", "b.mp4"}}, {angles: []string{"endzone"}, files: []string{"ez.mp4"}},
		}, 0},
		{[]string{"wide=x=y.mp4"}, []reelFilm{{angles: []string{"wide"}, files: []string{"x=y.mp4"}}}, 0},
		{[]string{"wide=clips"}, []reelFilm{{angles: []string{"wide", "wide"}, files: []string{"clips/9.mp4", "clips/10.mp4"}, clips: true, plays: []int{9, 10}}}, 0},
		{[]string{"named"}, []reelFilm{{
			angles: []string{"endzone", "sideline", "endzone"},
			files:  []string{"named/wk2-014-ez.mp4", "named/wk2-014-sl.mp4", "named/wk2-015-ez.mp4"}, clips: true, plays: []int{14, 14, 15},
		}}, 0},
		{[]string{"folders"}, []reelFilm{{
			angles: []string{"endzone", "endzone", "sideline"},
			files:  []string{"folders/endzone/720p-2.mov", "folders/endzone/720p-11.mov", "folders/side/720p-2.MOV"}, clips: true, plays: []int{2, 11, 2},
		}}, 0},
		{[]string{"a.mp4", "clips", "empty", "Wide=a.mp4", "a,a=a.mp4", "wide="}, nil, 6},
		{[]string{"wide=a.mp4", "tight=a.mp4"}, []reelFilm{
			{angles: []string{"wide"}, files: []string{"a.mp4"}}, {angles: []string{"tight"}, files: []string{"a.mp4"}},
		}, 1},
	} {
		reels, errs := filmArguments(c.args)
		if len(errs) != c.errs {
			t.Errorf("%v: faults %v, want %d", c.args, errs, c.errs)
		}
		var got []reelFilm
		for _, r := range reels {
			for i, f := range r.files {
				if rel, err := filepath.Rel(dir, f); err == nil {
					r.files[i] = filepath.ToSlash(rel)
				}
			}
			got = append(got, *r)
		}
		if diff := cmp.Diff(c.want, got, cmp.AllowUnexported(reelFilm{})); diff != "" {
			t.Errorf("%v: %s", c.args, diff)
		}
	}
}

func TestSeal(t *testing.T) {
	data := sealed([]byte("trenchcut: 1\n"))
	if !isOutlined(data) {
		t.Error("what was sealed is not known again")
	}
	for name, other := range map[string]string{
		"none":     "trenchcut: 1\n",
		"edited":   "#" + string(data),
		"added":    string(data) + "\n",
		"seal cut": string(data[:len(data)-2]),
	} {
		if isOutlined([]byte(other)) {
			t.Errorf("%s: taken for untouched", name)
		}
	}
}
