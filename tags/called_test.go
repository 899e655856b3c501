package tags

import "testing"

// Over a season a player has one name, whatever he wore, and no two have the same.
func TestCalled(t *testing.T) {
	games := []*Game{
		{Us: "Ridgeline", People: map[string]*Person{
			"marlow": {ID: "marlow", Name: "Teo Marlow", Team: "us", Jersey: "91"},
			"oke":    {ID: "oke", Team: "us", Jersey: "72"},
			"oke2":   {ID: "oke2", Team: "us", Jersey: "72"},
			"wren":   {ID: "wren", Team: "us"},
			"lt":     {ID: "lt", Name: "Ames", Team: "Harbor", Jersey: "77"},
		}},
		{Us: "Ridgeline", People: map[string]*Person{
			"marlow": {ID: "marlow", Name: "Teo Marlow", Team: "Ridgeline", Jersey: "90"},
			"lt":     {ID: "lt", Name: "Ames", Team: "Granite", Jersey: "77"},
		}},
	}
	if got := games[0].People["marlow"].Called(); got != "#91 Teo Marlow" {
		t.Errorf("outside a season he is called %q", got)
	}
	callPeople(games)
	for i, want := range []map[string]string{
		{"marlow": "#90/#91 Teo Marlow", "oke": "#72 (oke)", "oke2": "#72 (oke2)", "wren": "wren", "lt": "#77 Ames (Harbor)"},
		{"marlow": "#90/#91 Teo Marlow", "lt": "#77 Ames (Granite)"},
	} {
		for id, name := range want {
			if got := games[i].People[id].Called(); got != name {
				t.Errorf("game %d: %s is called %q, want %q", i+1, id, got, name)
			}
		}
	}
	for i, want := range []map[string]string{{"marlow": "marlow", "lt": "lt (Harbor)"}, {"marlow": "marlow", "lt": "lt (Granite)"}} {
		for id, key := range want {
			if got := games[i].People[id].Key(); got != key {
				t.Errorf("game %d: the key of %s is %q, want %q", i+1, id, got, key)
			}
		}
	}
	if SamePlayer(games[0].People["lt"], games[1].People["lt"]) || !SamePlayer(games[0].People["marlow"], games[1].People["marlow"]) {
		t.Error("two men of two teams are one, or one of ours is two")
	}
}

// Where the opponent is not said, his people are of another team than in any other game, and not
// ours: those whom the file calls them, and those of no team who block.
func TestOpponentUnsaid(t *testing.T) {
	v, err := DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game := func(id, head string) *Game {
		g, faults := ParseGame(id+Suffix, []byte("trenchcut: 1\npeople:\n  us91: {team: us, jersey: 91}\n  us72: {team: us, jersey: 72}\n  them72: {team: them, jersey: 72}\n  rt: {pos: RT}\n"+
			"game: {id: "+id+head+"}\nplays:\n  - play: 1\n    reps: [{rusher: 91, blocker: {who: 72}, battle: won}, {rusher: us72, blocker: {who: rt}, battle: lost}]\n"), v)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return g
	}
	games := []*Game{game("wk1", ""), game("wk2", ""), game("wk3", ", opponent: Harbor")}
	callPeople(games)
	for id, teams := range map[string][]string{
		"them72": {"opponent of wk1", "opponent of wk2", "Harbor"}, "rt": {"opponent of wk1", "opponent of wk2", "Harbor"},
	} {
		for i, team := range teams {
			if p := games[i].People[id]; p.Key() != id+" ("+team+")" || p.OurSide() {
				t.Errorf("%s of game %d is %s, ours %t; want one of %s", id, i+1, p.Key(), p.OurSide(), team)
			}
		}
	}
	for _, g := range games {
		if g.Ours(g.People["them72"]) || g.Plays[0].Reps[0].Blocker != g.People["them72"] {
			t.Error("a man of theirs is ours")
		}
	}
}
