package invent_test

import (
	"bytes"
	"os"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
	"trenchcut/tags/invent"
)

func TestSeason(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	const games, reps = 7, 500
	files, err := invent.Season(t.TempDir(), 1, games, reps)
	if err != nil || len(files) != games {
		t.Fatal(files, err)
	}
	s, faults, err := tags.Cache{}.Load(files, v)
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	if n := len(s.Reps()); len(s.Games) != games || n != reps {
		t.Errorf("%d games with %d reps, want %d with %d", len(s.Games), n, games, reps)
	}
	// Marks that run backwards would be a warning that only a look at the film gives.
	extent := tags.Extent{Clock: tags.Clock{Rate: tags.Rate{Num: 30000, Den: 1001}}, Frames: 1_000_000}
	for _, g := range s.Games {
		extents := map[string]tags.Extent{}
		for _, f := range g.Files() {
			extents[f.File] = extent
		}
		if len(extents) == 0 {
			t.Errorf("game %s is on no film", g.ID)
		}
		if faults := g.CheckFilm(extents); len(faults) > 0 {
			t.Error(faults)
		}
	}
}

func TestSeasonRepeats(t *testing.T) {
	_, a := invent.Game(1, 3, 50)
	_, again := invent.Game(1, 3, 50)
	_, seed := invent.Game(2, 3, 50)
	_, next := invent.Game(1, 4, 50)
	if !bytes.Equal(a, again) {
		t.Error("the same seed gives another game")
	}
	if bytes.Equal(a, seed) || bytes.Equal(a, next) {
		t.Error("another seed or game gives the same text")
	}
}

// whole compares everything, unexported fields too, but vocabularies only by who they are.
// What people are called is settled when all games are read.
var whole = cmp.Options{
	cmp.Exporter(func(reflect.Type) bool { return true }),
	cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".over" }, cmp.Ignore()),
	cmp.Comparer(func(a, b *tags.Vocabulary) bool { return a == b }),
}

// A season is the same on one core without a cache, on all, and from the cache; so are
// the faults of files that have some, in the order of the files.
func TestSeasonLoadsTheSame(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(2) {
		files, err := invent.Season(t.TempDir(), seed, 10, 200)
		if err != nil {
			t.Fatal(err)
		}
		for i := 3; i < len(files); i += 5 {
			data, err := os.ReadFile(files[i])
			if err != nil {
				t.Fatal(err)
			}
			data = bytes.Replace(data, []byte("battle: won"), []byte("battle: wno"), 2)
			if err := os.WriteFile(files[i], bytes.Replace(data, []byte("type: run"), []byte("tpye: run"), 1), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		want := &tags.Season{Vocabulary: v}
		var faults tags.Faults
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			g, fs := tags.ParseGame(file, data, v)
			want.Games, faults = append(want.Games, g), append(faults, fs...)
		}
		if len(faults) < 4 {
			t.Fatalf("%d faults, want some in two files", len(faults))
		}
		c := tags.Cache{Folder: t.TempDir()}
		for _, way := range []string{"on all cores", "while the cache is filled", "from the cache"} {
			load := c.Load
			if way == "on all cores" {
				load = tags.Cache{}.Load
			}
			got, fs, err := load(files, v)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(want, got, whole); diff != "" {
				t.Errorf("seed %d, %s: %s", seed, way, diff)
			}
			if diff := cmp.Diff(faults, fs); diff != "" {
				t.Errorf("seed %d, %s: %s", seed, way, diff)
			}
		}
		if kept, err := os.ReadDir(c.Folder); err != nil || len(kept) != 8 {
			t.Errorf("%d entries, %v; want those of the 8 files without fault", len(kept), err)
		}
	}
}
