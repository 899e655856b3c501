package tags

import (
	"fmt"
	"strings"
	"testing"
)

// What follows by the rules of the game is passed over, and what does not is named with both
// plays.
func TestCheckOrder(t *testing.T) {
	tests := []struct{ name, plays, want string }{
		{"a series", "1 1 9:10 1 10 own 25|1 1 8:40 2 6 own 29|1 1 8:00 3 6 own 29|1 1 7:30 1 10 own 41", ""},
		{"another quarter", "1 1 0:10 1 10|1 2 15:00 2 4", ""},
		{"a penalty replays the down", "1 1 9:10 1 10|1 1 9:00 1 15", ""},
		{"a loss and a rounded half yard", "1 1 9:10 1 10 own 25|1 1 8:40 2 13 own 21|1 1 8:10 3 4 own 31", ""},
		{"the clock rises", "1 1 9:10 1 10|1 1 9:11 2 4", "play 2 after play 1: the clock rises from 9:10 to 9:11 within quarter 1"},
		{"the quarter goes back", "1 2 9:10 1 10|1 1 9:11 2 4", "play 2 after play 1: the quarter goes back from 2 to 1"},
		{"a down is passed over", "1 1 9:10 1 10|1 1 9:00 3 4", "play 2 after play 1: down 3 follows down 1"},
		{"a down goes back", "1 1 9:10 3 10|1 1 9:00 2 4", "play 2 after play 1: down 2 follows down 3"},
		{"a down comes twice", "1 1 9:10 2 6|1 1 9:00 2 6", "play 2 after play 1: down 2 comes twice, with as far to go"},
		{"a series goes back", "3 1 9:10 2 6|2 1 9:00 1 10", "play 2 after play 1: the series goes back from 3 to 2"},
		{"a series is passed over", "1 1 9:10 2 6|2 1 9:00 1 10|3 1 8:00 1 10|7 1 7:00 1 10", "play 4 after play 3: the series jumps from 3 to 7"},
		{"theirs counted too, and only ours there", "1 1 9:10 2 6|3 1 9:00 1 10|5 1 8:00 1 10", ""},
		{"too far", "1 1 9:10 1 10 own 25|1 1 8:40 2 6 own 35", "play 2 after play 1: own 25 to own 35 is a gain of 10, and the yards to go say a gain of 4"},
		{"over midfield", "1 1 9:10 1 10 own 47|1 1 8:40 2 4 opp 47", ""},
		{"a first down too soon", "1 1 9:10 1 10 own 25|1 1 8:40 1 10 own 29", "play 2 after play 1: a first down, but own 25 to own 29 is a gain of 4, of 10 to go"},
		{"turned over", "1 1 9:10 4 10 own 25|2 1 8:40 1 10 own 29", ""},
	}
	for _, tt := range tests {
		text := "trenchcut: 1\ngame: {id: wk1}\nplays:\n"
		for i, line := range strings.Split(tt.plays, "|") {
			f := strings.SplitN(line, " ", 6)
			text += fmt.Sprintf("  - {play: %d, series: %s, quarter: %s, clock: %q, down: %s, distance: %s", i+1, f[0], f[1], f[2], f[3], f[4])
			if len(f) > 5 {
				text += ", yard-line: " + f[5]
			}
			text += "}\n"
		}
		v, err := DefaultVocabulary()
		if err != nil {
			t.Fatal(err)
		}
		game, faults := ParseGame("wk1.game.yaml", []byte(text), v)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		var got []string
		for _, f := range game.CheckOrder() {
			got = append(got, f.What)
			if !f.Warning || f.Hint == "" {
				t.Errorf("%s: %v", tt.name, f)
			}
		}
		if said := strings.Join(got, "\n"); said != tt.want {
			t.Errorf("%s: said %q, want %q", tt.name, said, tt.want)
		}
	}
}

// Two men of one side with one number are told apart by their ids, and warned of. A man of the
// other side may wear it too.
func TestOneNumberTwice(t *testing.T) {
	v, err := DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := ParseGame("wk1.game.yaml", []byte(`trenchcut: 1
game: {id: wk1, us: Cedar Hollow, opponent: Harbor State}
people:
  a: {team: us, jersey: 91}
  b: {team: us, jersey: 91}
  c: {team: us, jersey: 55}
  55: {team: us}
  h91: {team: Harbor State, jersey: 91}
plays:
  - {play: 1, reps: [{rusher: a, battle: won}, {rusher: b, battle: lost}]}
  - {play: 2, reps: [{rusher: a, blocker: {who: h91}, battle: won}, {rusher: c, blocker: {who: h91}, battle: won}]}
  - {play: 3, reps: [{rusher: c, battle: won}, {rusher: 55, battle: won}]}
`), v)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	season := &Season{Games: []*Game{game}}
	var names []string
	for _, r := range season.Reps() {
		names = append(names, r.Name())
	}
	if got, want := strings.Join(names, " "), "wk1-p001-a wk1-p001-b wk1-p002-91 wk1-p002-55 wk1-p003-c wk1-p003-55"; got != want {
		t.Errorf("the reps are %s, want %s", got, want)
	}
	want := "wk1.game.yaml:10:57: warning: a and b both wear 91 in play 1; one of them is another man, or wears another number"
	if got := season.CheckPlays().Error(); got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}
