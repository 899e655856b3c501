package plan_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
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
			"  marlow: {name: Teo Marlow, team: us, jersey: "+n[0]+", pos: DE}\n"+
			"  okafor55: {name: Ike Okafor, team: us, jersey: "+n[1]+", pos: DT}\n"+
			"  wren: {name: Sam Wren, team: us, jersey: "+n[2]+"}\n"+
			"  dunn: {name: Al Dunn, team: Cedar Hollow, jersey: "+n[3]+"}\n"+
			"  bare: {name: Jo Bare, team: us}\n"+
			"  harbor90: {team: Harbor State, jersey: 90}\n"+
			"plays: [{play: 1, reps: [{rusher: marlow, battle: won}, {rusher: okafor55, battle: lost}, {rusher: bare, battle: lost}]}]\n"), v)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, g)
	}
	return s
}

// The rule for names, as a table.
func TestNaming(t *testing.T) {
	s := roster(t)
	g, reps := s.Games[0], s.Games[0].Plays[0].Reps
	for _, c := range []struct {
		naming         plan.Naming
		rep            int
		who, tab, name string
	}{
		{plan.Naming{}, 0, "#91 Teo Marlow", "91", "wk1-p001-91"},
		{plan.Naming{}, 2, "Jo Bare", "Jo Bare", "wk1-p001-bare"},
		{plan.Naming{How: plan.ByNumber}, 0, "#91", "91", "wk1-p001-91"},
		{plan.Naming{How: plan.ByNumber}, 2, "rusher", "rusher", "wk1-p001 rep 3"},
		{plan.Naming{How: plan.NoNames}, 0, "DE", "DE", "wk1-p001 rep 1"},
		{plan.Naming{For: "marlow"}, 0, "#91 Teo Marlow", "91", "wk1-p001-91"},
		{plan.Naming{For: "marlow"}, 1, "A teammate", "teammate", "wk1-p001 rep 2"},
		{plan.Naming{How: plan.ByNumber, For: "marlow"}, 1, "A teammate", "teammate", "wk1-p001 rep 2"},
		{plan.Naming{How: plan.NoNames, For: "okafor55"}, 0, "A teammate", "teammate", "wk1-p001 rep 1"},
	} {
		r := reps[c.rep]
		who, tab, name := c.naming.Who(g, r.Rusher), c.naming.Tab(g, r.Rusher), c.naming.Rep(r)
		if who != c.who || tab != c.tab || name != c.name {
			t.Errorf("%+v of %s: %q, %q, %q, want %q, %q, %q", c.naming, r.Name(), who, tab, name, c.who, c.tab, c.name)
		}
	}
	if who := (plan.Naming{For: "marlow"}).Who(g, g.People["harbor90"]); who != "#90" {
		t.Errorf("an opponent is %q, want #90", who)
	}
}

// A man of a game that was only scouted is no teammate, and none of his is one of ours.
func TestNamesOfScouted(t *testing.T) {
	s := roster(t)
	ours, theirs := s.Games[0], s.Games[1]
	theirs.Kind, theirs.Us = "scout", "Granite Valley"
	for _, c := range []struct {
		home, game *tags.Game
		who, tab   string
	}{
		{ours, ours, "A teammate", "teammate"},
		{ours, theirs, "A player of another team", "other team"},
		{theirs, theirs, "A teammate", "teammate"},
		{theirs, ours, "A player of another team", "other team"},
	} {
		for _, how := range []plan.Names{plan.FullNames, plan.ByNumber, plan.NoNames} {
			n, p := plan.Naming{How: how, For: "marlow", Home: c.home}, c.game.People["okafor55"]
			if who, tab := n.Who(c.game, p), n.Tab(c.game, p); who != c.who || tab != c.tab {
				t.Errorf("for a man of %s one of %s is %q, tab %q, want %q and %q", c.home.ID, c.game.ID, who, tab, c.who, c.tab)
			}
		}
	}
	// A game of ours that is scouted again stays ours.
	theirs.Us = ours.Us
	n := plan.Naming{For: "marlow", Home: ours}
	if who := n.Who(theirs, theirs.People["okafor55"]); who != plan.Teammate {
		t.Errorf("one of ours is %q where his game is scouted", who)
	}
}

// Two of one number on one play have two names, of which none tells an id that may not be told.
func TestNamesOfOneNumber(t *testing.T) {
	s := roster(t)
	play := s.Games[0].Plays[0]
	play.Reps[1].Rusher.Jersey = "91"
	for naming, want := range map[plan.Naming]string{
		{}:                                    "wk1-p001-marlow wk1-p001-okafor55",
		{How: plan.ByNumber}:                  "wk1-p001 rep 1 wk1-p001 rep 2",
		{For: "marlow"}:                       "wk1-p001-marlow wk1-p001 rep 2",
		{How: plan.ByNumber, For: "okafor55"}: "wk1-p001 rep 1 wk1-p001 rep 2",
	} {
		if got := naming.Rep(play.Reps[0]) + " " + naming.Rep(play.Reps[1]); got != want {
			t.Errorf("%+v: %s, want %s", naming, got, want)
		}
	}
}

// A folder tells no more of who a player is than his names do, and no two have the same.
func TestFolder(t *testing.T) {
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
			got = append(got, names.Folder(s, id))
		}
		if line := strings.Join(got, " "); !regexp.MustCompile(want).MatchString(line) {
			t.Errorf("names %q: %s, want %s", names, line, want)
		}
		if slices.Sort(got); len(slices.Compact(got)) != len(ids) {
			t.Errorf("names %q: two players have one folder", names)
		}
	}
	if folder := plan.FullNames.Folder(s, "ike--okafor"); folder == plan.FullNames.Folder(s, "ike-okafor") {
		t.Errorf("two ids have one folder, %s", folder)
	}
	if folder := plan.FullNames.Folder(s, "con"); folder == "con" {
		t.Errorf("his folder is %s, which Windows takes for a device", folder)
	}
	// Whoever joins or leaves, his stays his.
	before := plan.NoNames.Folder(s, "wren")
	for _, g := range s.Games {
		delete(g.People, "marlow")
	}
	if now := plan.NoNames.Folder(s, "wren"); now != before {
		t.Errorf("his folder was %s and is %s", before, now)
	}
}

// A man of no team who blocks is no teammate, and one of another team with a player's id is not he.
func TestNamesOverASeason(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	var files []string
	for id, game := range map[string]string{
		"wk1": "us: Cedar Hollow, opponent: Harbor State}\npeople: {de: {name: Teo Marlow, team: us, jersey: 91}, lt: {jersey: 72}}\nplays: [{play: 1, reps: [{rusher: de, battle: won, blocker: {who: lt}}]}]\n",
		"sc1": "kind: scout, us: Mesa, opponent: Harbor State}\npeople: {de: {name: Abe Abel, team: us, jersey: 12}}\nplays: [{play: 1, reps: [{rusher: de, battle: won}]}]\n",
	} {
		file := filepath.Join(folder, id+tags.Suffix)
		if err := os.WriteFile(file, []byte("trenchcut: 1\ngame: {id: "+id+", "+game), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	slices.Sort(files)
	s, faults, err := tags.Cache{}.Load(files, v)
	if err != nil || faults.Grave() > 0 {
		t.Fatal(faults, err)
	}
	games := map[string]*tags.Game{}
	for _, g := range s.Games {
		games[g.ID] = g
	}
	own, theirs := games["wk1"], games["sc1"]
	n := plan.Naming{For: own.People["de"].Key(), Home: own}
	for _, c := range []struct {
		game *tags.Game
		id   string
		want string
	}{{own, "de", "#91 Teo Marlow"}, {own, "lt", "#72"}, {theirs, "de", plan.Stranger}} {
		if who := n.Who(c.game, c.game.People[c.id]); who != c.want {
			t.Errorf("%s of %s is %q, want %q", c.id, c.game.ID, who, c.want)
		}
	}
}
