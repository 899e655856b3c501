package outline

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
)

const tagged = `trenchcut: 1
game: {id: wk3}
film: {endzone: {file: ez.mp4}}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
plays:
  - play: 14
    type: run
    down: 1
    angles:
      endzone: {in: 0:00:01.000, out: 0:00:05.000}
    reps:
      - 91 9 base won # fourteen's film
  - play: 15
    type: dropback
    down: 2
    extra: {Tempo: fast, guess: snap}
    angles:
      endzone: {in: 0:00:06.000, out: 0:00:10.000, snap: 0:00:08.000}
    reps:
      - rusher: marlow
        battle: won # fifteen's film
  - play: 16
    type: screen
    down: 3
    clock: "11:05"
    angles:
      endzone: {in: 0:00:11.000, out: 0:00:15.000}
  - play: 17
    type: punt
`

// Film moves with all that was tagged on it; what the sheet says stays with the numbers.
func TestMove(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "wk3.game.yaml")
	if err := os.WriteFile(file, []byte(tagged), 0o666); err != nil {
		t.Fatal(err)
	}
	on, err := Move{File: file, From: 15, By: 1}.Read(v)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"play 16: the film of play 15, with 1 rep", "play 17: the film of play 16", "play 15: no film"}, on.Lines); diff != "" {
		t.Error(diff)
	}
	want := strings.NewReplacer(
		"  - play: 15\n    type: dropback\n    down: 2\n    extra: {Tempo: fast, guess: snap}\n", "  - play: 16\n    type: screen\n    clock: \"11:05\"\n    down: 3\n    extra: {guess: snap}\n",
		"  - play: 16\n    type: screen\n    down: 3\n    clock: \"11:05\"\n", "  - play: 17\n    type: punt\n",
		"  - play: 17\n    type: punt\n", "  - play: 15\n    type: dropback\n    down: 2\n    extra: {Tempo: fast}\n",
	).Replace(tagged)
	if diff := cmp.Diff(want, string(on.data)); diff != "" {
		t.Error(diff)
	}
	if now, _ := os.ReadFile(file); string(now) != tagged {
		t.Error("reading a move changed the file")
	}
	if err := on.Write(); err != nil {
		t.Fatal(err)
	}
	// Moving it back makes it as it was, but for the order of the keys.
	game, faults := tags.ParseGame(file, on.data, v)
	if faults.Err() != nil || len(game.Plays[1].Reps) != 1 || game.Plays[1].Number != 16 {
		t.Fatal(faults, game.Plays[1])
	}
	for _, m := range []Move{{file, 15, -1}, {file, 99, 1}, {file, 16, 2}, {file, 16, -1}} {
		var wrong *tags.RequestError
		if _, err := m.Read(v); !errors.As(err, &wrong) {
			t.Errorf("%+v: error %v", m, err)
		}
	}
}

// What is begun on the marking page stands beside the file by the play's number, so film does not
// move away from it.
func TestMoveBegun(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		begun []mark.Edit
		from  int
		want  string // in the error; empty moves
	}{
		"a rep without a result":  {[]mark.Edit{{Verb: mark.Add, Play: 16, Rep: "marlow", Values: []mark.Value{{Field: "align", Text: "9"}}}}, 15, "marlow in play 16: begun on the marking page and not in "},
		"one cleared":             {[]mark.Edit{{Verb: mark.Add, Play: 16, Rep: "marlow"}, {Verb: mark.Remove, Play: 16, Rep: "marlow"}}, 15, ""},
		"one finished":            {[]mark.Edit{{Verb: mark.Add, Play: 16, Rep: "marlow"}, {Verb: mark.Set, Play: 16, Rep: "marlow", Field: "battle", Value: "lost"}}, 15, ""},
		"its result taken back":   {[]mark.Edit{{Verb: mark.Set, Play: 15, Rep: "marlow", Field: "battle", Was: "won"}}, 15, "marlow in play 15: "},
		"two, of other plays":     {[]mark.Edit{{Verb: mark.Set, Play: 15, Rep: "marlow", Field: "battle", Was: "won"}, {Verb: mark.Add, Play: 14, Rep: "marlow"}}, 16, ""},
		"a time of another angle": {[]mark.Edit{{Verb: mark.Set, Play: 15, Field: "angles.sideline.in", Value: "0:00:01.000"}}, 15, "play 15: begun"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(tagged, "film: {endzone: {file: ez.mp4}}", "film: {endzone: {file: ez.mp4}, sideline: {file: sl.mp4}}", 1)
			if strings.HasPrefix(name, "two") {
				text = strings.Replace(text, "      - 91 9 base won # fourteen's film\n", "      - 55 9 base won\n", 1)
				text = strings.Replace(text, "jersey: 91}\n", "jersey: 91}\n  jonm: {name: Jon M, team: us, jersey: 55}\n", 1)
			}
			file := filepath.Join(t.TempDir(), "wk3.game.yaml")
			if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
			d, err := mark.Open(file, v, mark.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer d.Close()
			for _, e := range c.begun {
				if _, err := d.Do(e); err != nil {
					t.Fatal(err)
				}
			}
			var refused *tags.RequestError
			_, err = Move{File: file, From: c.from, By: 1}.Read(v)
			if c.want == "" && err != nil || c.want != "" && (!errors.As(err, &refused) || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("error %v, want %q", err, c.want)
			}
		})
	}
}
