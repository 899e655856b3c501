package outline

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// shotAt is a shot of the end zone's film, in seconds.
func shotAt(id int, in, out, snap float64) *Shot {
	s := &Shot{ID: id, File: "/film/ez.mp4", Angle: "endzone", Source: plan.Source{Rate: tags.Rate{Num: 30, Den: 1}}}
	s.Span = tags.Span{In: tags.Frame(30 * in), Out: tags.Frame(30 * out)}
	if s.Snaps = snap > 0; s.Snaps {
		s.Snap = tags.Frame(30 * snap)
	}
	return s
}

// outlineAgain is what becomes of a tag file when its plays are found on shots.
func outlineAgain(t *testing.T, text string, shots []*Shot, on map[int]int) (string, []string, error) {
	t.Helper()
	return outlineAgainAt(t, "/film/wk3.game.yaml", text, shots, on)
}

func outlineAgainAt(t *testing.T, file, text string, shots []*Shot, on map[int]int) (string, []string, error) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame(file, []byte(text), v)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	var plays []Play
	for _, p := range game.Plays {
		if id := on[p.Number]; id > 0 {
			plays = append(plays, Play{Number: p.Number, Row: p, Shots: []*Shot{shots[id-1]}, SureOfPlay: true, SureOfAngles: true})
		}
	}
	data, changes, err := newAgain(game, []byte(text), shots).write(file, plays, v)
	var lines []string
	for _, c := range changes {
		lines = append(lines, c.String())
	}
	return string(data), lines, err
}

var fourShots = []*Shot{shotAt(1, 1, 5, 0), shotAt(2, 6, 10, 8), shotAt(3, 11, 15, 0), shotAt(4, 16, 20, 18)}

// What was tagged goes with its film to the number that the film is found to have; what the
// sheet says stays with the numbers.
func TestAgain(t *testing.T) {
	tests := []struct {
		name string
		on   map[int]int // shots by play
		want []string
	}{
		{"as it was", map[int]int{14: 1, 15: 2, 16: 3}, nil},
		{"one more shot", map[int]int{14: 1, 15: 2, 16: 3, 17: 4}, []string{"play 17: add shot 4, endzone from 0:00:16.000 to 0:00:20.000"}},
		{"on by one from 15", map[int]int{14: 1, 16: 2, 17: 3}, []string{"play 15: no film", "play 16: the film of play 15, with 1 rep", "play 17: the film of play 16"}},
		{"film between", map[int]int{14: 1, 15: 4, 16: 2, 17: 3}, []string{"play 15: now shot 4, endzone from 0:00:16.000 to 0:00:20.000", "play 16: the film of play 15, with 1 rep", "play 17: the film of play 16"}},
		{"a shot of no play", map[int]int{14: 1, 15: 2}, []string{"play 16: no film"}},
		{"another in its place", map[int]int{14: 1, 15: 2, 16: 4}, []string{"play 16: now shot 4, endzone from 0:00:16.000 to 0:00:20.000"}},
	}
	for _, tt := range tests {
		got, lines, err := outlineAgain(t, tagged, fourShots, tt.on)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if diff := cmp.Diff(tt.want, lines); diff != "" {
			t.Errorf("%s: %s", tt.name, diff)
		}
		if (tt.want == nil) != (got == tagged) {
			t.Errorf("%s: the file is\n%s", tt.name, got)
		}
		holdAgain(t, tt.name, tagged, got, fourShots, tt.on)
	}
	for on, want := range map[int]string{14: "play 14 is on shot 1, with 1 rep, which would be of no play: --pin says of which"} {
		shown := map[int]int{14: 1, 15: 2, 16: 3}
		delete(shown, on)
		if _, _, err := outlineAgain(t, tagged, fourShots, shown); err == nil || err.Error() != want {
			t.Errorf("play %d on no shot: %v", on, err)
		}
	}
}

// Film neither gets another number nor goes while a rep of it is begun on the marking page.
func TestAgainBegun(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(tagged, "ez.mp4", "/film/ez.mp4", 1)
	file := filepath.Join(t.TempDir(), "wk3.game.yaml")
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	d, err := mark.Open(file, v, mark.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if _, err := d.Do(mark.Edit{Verb: mark.Add, Play: 16, Rep: "marlow"}); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		on      map[int]int
		refused bool
	}{
		"as it was":        {map[int]int{14: 1, 15: 2, 16: 3, 17: 4}, false},
		"on by one":        {map[int]int{14: 1, 16: 2, 17: 3}, true},
		"a shot of none":   {map[int]int{14: 1, 15: 2}, true},
		"moved before him": {map[int]int{14: 1, 16: 3, 17: 2}, false},
	} {
		if _, _, err := outlineAgainAt(t, file, text, fourShots, c.on); (err != nil) != c.refused || err != nil && !strings.HasPrefix(err.Error(), "marlow in play 16: begun on the marking page") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// holdAgain holds a tag file to what it was: every rep is on the film that it was on, every play
// says of itself what it said, and each is on the shot that it was found on.
func holdAgain(t *testing.T, name, before, after string, shots []*Shot, on map[int]int) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	parse := func(text string) *again {
		game, faults := tags.ParseGame("/film/wk3.game.yaml", []byte(text), v)
		if faults.Err() != nil {
			t.Fatalf("%s: %v\n%s", name, faults, text)
		}
		return newAgain(game, []byte(text), shots)
	}
	reps := func(a *again) (all []string) {
		for i, p := range a.game.Plays {
			for _, r := range p.Reps {
				all = append(all, fmt.Sprint("shot ", a.at[i].ID, ": ", r.Rusher.ID, r.Battle, r.Outcome, r.Sequence(), r.Note))
			}
		}
		slices.Sort(all)
		return all
	}
	facts := func(a *again) map[int]string {
		all := map[int]string{}
		for _, p := range a.game.Plays {
			text := fmt.Sprint(p.Type, p.Clock, p.DownAndDistance(), p.Extra["Tempo"])
			all[p.Number] = text
		}
		return all
	}
	was, is := parse(before), parse(after)
	if diff := cmp.Diff(reps(was), reps(is)); diff != "" {
		t.Errorf("%s: reps: %s", name, diff)
	}
	if diff := cmp.Diff(facts(was), facts(is)); diff != "" {
		t.Errorf("%s: facts: %s", name, diff)
	}
	for i, p := range is.game.Plays {
		id := 0
		if is.at[i] != nil {
			id = is.at[i].ID
		}
		if id != on[p.Number] {
			t.Errorf("%s: play %d is on shot %d, not %d\n%s", name, p.Number, id, on[p.Number], after)
		}
	}
	if count := func(s string) int { return strings.Count(s, " # ") }; count(before) != count(after) {
		t.Errorf("%s: a comment is gone:\n%s", name, after)
	}
}

// Whatever plays the shots turn out to be, nothing that was tagged is lost.
func TestAgainAtRandom(t *testing.T) {
	written, refused := 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 3))
		var shots []*Shot
		text := "trenchcut: 1\ngame: {id: wk3}\nfilm: {endzone: {file: ez.mp4}}\npeople:\n  marlow: {name: Teo Marlow, team: us, jersey: 91}\nplays:\n"
		plays := 4 + r.IntN(8)
		for n := 1; n <= plays; n++ {
			text += fmt.Sprintf("  - play: %d\n    type: %s\n    down: %d\n", n, []string{"run", "dropback", "punt"}[r.IntN(3)], 1+r.IntN(4))
			if r.IntN(3) == 0 {
				text += "    extra: {Tempo: fast, guess: snap}\n"
			}
			if r.IntN(5) == 0 {
				continue
			}
			from := 10 * float64(n)
			shots = append(shots, shotAt(len(shots)+1, from, from+6, from+2))
			text += fmt.Sprintf("    angles:\n      endzone: {in: 0:%02d:%02d.000, out: 0:%02d:%02d.000, snap: 0:%02d:%02d.000}\n", 10*n/60, 10*n%60, (10*n+6)/60, (10*n+6)%60, (10*n+2)/60, (10*n+2)%60)
			if r.IntN(2) == 0 {
				text += fmt.Sprintf("    reps:\n      - {rusher: marlow, battle: won, note: of %d} # it is\n", n)
			}
		}
		shots = append(shots, shotAt(len(shots)+1, 200, 206, 202))
		// The shots are of other plays, in their order, and now and then one is of none.
		on := map[int]int{}
		numbers := r.Perm(plays)[:min(plays, len(shots))]
		slices.Sort(numbers)
		for i, n := range numbers {
			if r.IntN(12) > 0 {
				on[n+1] = i + 1
			}
		}
		name := fmt.Sprint("seed ", seed)
		got, _, err := outlineAgain(t, text, shots, on)
		if err != nil {
			refused++
			continue
		}
		written++
		holdAgain(t, name, text, got, shots, on)
	}
	if written < 20 || refused < 3 {
		t.Errorf("%d written, %d refused: too few to tell", written, refused)
	}
}

// Where nothing else tells, a shot stays with the play that has it.
func TestAgainKeepsNumbers(t *testing.T) {
	var rows []*tags.Play
	var takes []*take
	numbers := map[*Shot]int{}
	for n := 1; n <= 6; n++ {
		rows = append(rows, &tags.Play{Game: &tags.Game{}, Number: n})
		if n == 4 {
			continue
		}
		s := shotAt(n, 10*float64(n), 10*float64(n)+6, 10*float64(n)+2)
		s.Shot = watch.Shot{Span: s.Span, Snap: s.Snap, Snaps: true}
		numbers[s] = n
		takes = append(takes, &take{shots: []*Shot{s}, sure: true})
	}
	numberTakes(takes, numbers)
	_, absent := match(rows, takes, nil)
	if diff := cmp.Diff([]int{4}, absent); diff != "" {
		t.Error(diff)
	}
}
