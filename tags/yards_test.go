package tags

import "testing"

func TestToGoal(t *testing.T) {
	signed := &Game{Plays: []*Play{{YardLine: "-25"}}}
	for _, c := range []struct {
		line          string
		plain, signed int // -1: it cannot be told
	}{
		{"own 25", 75, 75},
		{"OWN 1", 99, 99},
		{"opp 18", 18, 18},
		{"Opponent 18", 18, 18},
		{"opp18", 18, 18},
		{"-25", 75, 75},
		{"+18", 18, 18},
		{"- 3", 97, 97},
		{"50", 50, 50},
		{"+50", 50, 50},
		{"-50", 50, 50},
		{"own 50", 50, 50},
		{"18", -1, 18},
		{" 7 ", -1, 7},
		{"", -1, -1},
		{"MES 18", -1, -1},
		{"H25", -1, -1},
		{"0", -1, -1},
		{"-0", -1, -1},
		{"opp 51", -1, -1},
		{"own 100", -1, -1},
		{"+-5", -1, -1},
		{"18.5", -1, -1},
	} {
		for game, want := range map[*Game]int{{Plays: []*Play{{YardLine: "+25"}, {YardLine: "30"}}}: c.plain, signed: c.signed} {
			got, known := (&Play{Game: game, YardLine: c.line}).ToGoal()
			if !known {
				got = -1
			}
			if got != want {
				t.Errorf("%q among %q: %d, want %d", c.line, game.Plays[0].YardLine, got, want)
			}
		}
	}
}
