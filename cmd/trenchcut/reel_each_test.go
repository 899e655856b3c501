package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/tags"
)

// roster is two games of the same men, one of whom changed his number.
func roster(t *testing.T) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for i, jerseys := range []string{"91 55 44 44", "90 55 44 44"} {
		n := strings.Fields(jerseys)
		g, faults := tags.ParseGame("x.game.yaml", []byte("trenchcut: 1\ngame: {id: wk"+string(rune('1'+i))+", us: Cedar Hollow}\npeople:\n"+
			"  marlow: {name: Teo Marlow, team: us, jersey: "+n[0]+"}\n"+
			"  okafor55: {name: Ike Okafor, team: us, jersey: "+n[1]+"}\n"+
			"  wren: {name: Sam Wren, team: us, jersey: "+n[2]+"}\n"+
			"  dunn: {name: Al Dunn, team: Cedar Hollow, jersey: "+n[3]+"}\n"+
			"  bare: {name: Jo Bare, team: us}\n"+
			"  harbor90: {team: Harbor State, jersey: 90}\n"+
			"plays: [{play: 1, reps: [{rusher: okafor55, battle: lost, point: Hands before feet.}]}]\n"), v)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, g)
	}
	return s
}

// A folder tells no more of who a player is than his names do, and no two have the same.
func TestFolderOf(t *testing.T) {
	s := roster(t)
	ids := []string{"marlow", "okafor55", "wren", "dunn", "bare"}
	for names, want := range map[plan.Names]string{
		"":             "^marlow okafor55 wren dunn bare$",
		plan.FullNames: "^marlow okafor55 wren dunn bare$",
		// The number of the last game; the mark besides where two wear it.
		plan.ByNumber: "^90 55 44-player-[0-9a-f]{6} 44-player-[0-9a-f]{6} player-[0-9a-f]{6}$",
		plan.NoNames:  "^(player-[0-9a-f]{6} ?){5}$",
	} {
		var got []string
		for _, id := range ids {
			got = append(got, reel.FolderOf(s, id, names))
		}
		if line := strings.Join(got, " "); !regexp.MustCompile(want).MatchString(line) {
			t.Errorf("names %q: %s, want %s", names, line, want)
		}
		if slices.Sort(got); len(slices.Compact(got)) != len(ids) {
			t.Errorf("names %q: two players have one folder", names)
		}
	}
	if folder := reel.FolderOf(s, "ike--okafor", plan.FullNames); folder == reel.FolderOf(s, "ike-okafor", plan.FullNames) {
		t.Errorf("two ids have one folder, %s", folder)
	}
	// Whoever joins or leaves, his stays his.
	before := reel.FolderOf(s, "wren", plan.NoNames)
	for _, g := range s.Games {
		delete(g.People, "marlow")
	}
	if now := reel.FolderOf(s, "wren", plan.NoNames); now != before {
		t.Errorf("his folder was %s and is %s", before, now)
	}
}

// What is his he may have in his folder, however it is called; by number or mark, who he is
// is told by nothing in it.
func TestShareKnowsTheOwner(t *testing.T) {
	s := roster(t)
	for _, c := range []struct {
		id    string
		names plan.Names
		text  string
		want  int
	}{
		{"okafor55", plan.FullNames, "Ike Okafor: hands before feet", 0},
		{"okafor55", plan.ByNumber, "#55: hands before feet", 0},
		{"okafor55", plan.NoNames, "DE: hands before feet", 0},
		{"okafor55", plan.ByNumber, "Ike Okafor", 1},
		{"okafor55", plan.NoNames, "okafor55", 1},
		{"marlow", plan.ByNumber, "hands before feet", 2}, // of either game
		{"marlow", plan.NoNames, "Ike Okafor", 1},
	} {
		dir := t.TempDir()
		folder := filepath.Join(dir, reel.FolderOf(s, c.id, c.names))
		if err := os.MkdirAll(folder, 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, "notes.txt"), []byte(c.text), 0o666); err != nil {
			t.Fatal(err)
		}
		leaks, looked, err := checkShare(t.Context(), s, ffmpeg.Tool{}, dir)
		if err != nil || looked != 1 || len(leaks) != c.want {
			t.Errorf("%q in the folder of %s by %s: %v of %d files (%v), want %d", c.text, c.id, c.names, leaks, looked, err, c.want)
		}
	}
}
