package watch_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// On the demo's film every play is found by itself, and its snap to a quarter of a second.
// The film takes a minute to draw, so it is looked for where make demo leaves it.
func TestShotsOfDemo(t *testing.T) {
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
			glance, err := watch.Look(context.Background(), library, of.File, watch.NewCrew(2), nil)
			if err != nil {
				t.Fatal(err)
			}
			g.SetClock(of.File, glance.Source.Clock())
			shots := watch.ShotsOf([]*watch.Glance{glance}, false, 2*tags.Second)[0]
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
