package demo

import (
	"math"
	"slices"
	"testing"

	"trenchcut/tags"
)

// theSeason is the demo's games with their films, as they would lie in a folder.
func theSeason(t *testing.T) ([]*tags.Game, []*film) {
	t.Helper()
	_, films, err := season(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	var games []*tags.Game
	for _, f := range films {
		if !slices.Contains(games, f.game) {
			games = append(games, f.game)
		}
	}
	if len(games) < 2 || len(films) < 4 {
		t.Fatalf("the season has %d games and %d films, want 2 and 4 at least", len(games), len(films))
	}
	return games, films
}

func TestTagsHaveNoFaults(t *testing.T) {
	dir := t.TempDir()
	files, films, err := season(dir)
	if err != nil {
		t.Fatal(err)
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	extents := map[string]tags.Extent{}
	for _, f := range films {
		extents[f.file] = tags.Extent{Clock: tags.Clock{Rate: f.rate}, Frames: f.frames}
	}
	if len(files) < 2 {
		t.Fatalf("%d tag files, want 2 at least", len(files))
	}
	for name, data := range files {
		g, faults := tags.ParseGame(name, data, v)
		faults = append(faults, g.CheckFilm(extents)...)
		for _, f := range faults { // warnings too
			t.Error(f)
		}
		for _, ref := range g.Files() {
			if _, ok := extents[ref.File]; !ok {
				t.Errorf("%s: film %s is not drawn", g.ID, ref.File)
			}
		}
	}
}

// What the demo promises to show.
func TestTagsShowTheTrade(t *testing.T) {
	games, films := theSeason(t)
	var reps []*tags.Rep
	bare, fields := 0, map[string]bool{}
	for _, g := range games {
		fields[g.Field] = true
		if len(g.Plays) < 14 {
			t.Errorf("%s has %d plays, want 14 at least", g.ID, len(g.Plays))
		}
		for _, p := range g.Plays {
			reps = append(reps, p.Reps...)
			if len(p.Reps) == 0 {
				bare++
			}
		}
	}
	if len(fields) < 2 {
		t.Error("all games are on one kind of field")
	}
	if bare == 0 {
		t.Error("no play stands without a rep")
	}
	seen := map[string]int{}
	counters, won, rushes, rushesWon := 0, 0, 0, 0
	for _, r := range reps {
		for _, word := range []string{"set " + r.Set, "family " + r.Family(), "help " + r.Help, "job " + r.Job, "outcome " + r.Outcome, "block " + r.Block, "penalty " + r.Penalty, "matchup " + r.Matchup()} {
			seen[word]++
		}
		for _, saw := range r.Saw {
			seen["saw "+saw]++
		}
		for _, did := range r.Did {
			seen["did "+did]++
		}
		if out, _ := r.BallOut(); out {
			seen["ball out yes"]++
		}
		if r.Rushes() {
			rushes++
			if r.Battle == "won" {
				rushesWon++
			}
		}
		if counter, _ := r.IsCounter(); counter && r.Path() == "inside" && r.Set == "short" {
			counters++
			if r.Battle == "won" || r.Outcome == "sack" {
				won++
			}
		}
	}
	if counters < 6 || won == 0 || won == counters {
		t.Errorf("%d inside counters against short sets, %d won: want 6 at least, some won", counters, won)
	}
	if 2*rushesWon >= rushes {
		t.Errorf("%d of %d rushes won: most rushes do not win", rushesWon, rushes)
	}
	for _, word := range []string{
		"set vertical", "set angle", "set short", "set jump", "saw overset", "did batted", "ball out yes", "matchup one-on-one",
		"family power", "family speed", "family hands", "family change",
		"help chip-te", "help chip-rb", "help double", "job penetrator", "job looper",
		"outcome sack", "outcome strip-sack", "outcome tackle-for-loss", "outcome edge-set",
		"block reach", "penalty drew-hold",
	} {
		if seen[word] == 0 {
			t.Errorf("no rep shows %s", word)
		}
	}
	for _, f := range films {
		for _, s := range f.shots {
			before, after := (s.view.Snap - s.view.In).Seconds(), (s.view.Out-s.view.Snap).Seconds()-s.finish
			if before < 3.2 || before > 3.61 || after < 1 {
				t.Errorf("%s %s: %.2f s before the snap, %.2f s after the finish: want 3.2 to 3.6, and 1 at least", s.play.Name(), f.angle, before, after)
			}
		}
	}
}

// Where the tags say a man is in the picture, the picture has him.
func TestSpotsAreWhereTheMenAre(t *testing.T) {
	_, films := theSeason(t)
	checked := 0
	for _, f := range films {
		for _, s := range f.shots {
			for i, r := range s.play.Reps {
				at := func(m tags.Mark) tags.Point {
					since, _ := r.Since(m)
					x, y, _ := f.camera(s).project(s.spot.add(s.pairs[i].rusher(since.Seconds())).up(0))
					return tags.Point{X: x / float64(f.width), Y: y / float64(f.height)}
				}
				want := func(what string, got, want tags.Point) {
					checked++
					if math.Abs(got.X-want.X) > 0.012 || math.Abs(got.Y-want.Y) > 0.012 {
						t.Errorf("%s %s: %s at %.3f, %.3f, the picture has him at %.3f, %.3f", r.Name(), f.angle, what, got.X, got.Y, want.X, want.Y)
					}
				}
				if p, ok := r.Spot[f.angle]; ok {
					want("spot", p, at(tags.Snap))
				}
				for _, d := range r.Draw {
					if d.Angle == f.angle && d.Shape == "circle" {
						want("circle", d.Points[0], at(d.At))
					}
				}
			}
		}
	}
	if checked < 5 {
		t.Errorf("%d places checked, want 5 at least", checked)
	}
}
