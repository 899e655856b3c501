package tags

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// repsIn is the reps of one play, as text, in the words of v.
func repsIn(t *testing.T, v *Vocabulary, reps string) []*Rep {
	t.Helper()
	g, faults := ParseGame("x.game.yaml", []byte("trenchcut: 1\ngame: {id: x}\npeople: {a: {jersey: 1}, b: {jersey: 2}, c: {jersey: 3}, d: {jersey: 4}, e: {jersey: 5}, f: {jersey: 6}}\nplays: [{play: 1, reps: ["+reps+"]}]"), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	return g.Plays[0].Reps
}

// A worked example, added up by hand.
func TestProduction(t *testing.T) {
	_, faults := staff(t, `
words:
  outcome: [{knockdown: {pressure: true}}, {sacked: {also: [sack]}}]
points:
  battle: {won: 0.5, lost: -0.25}
  outcome: {sack: 3, knockdown: 1.1, hurry: 1}
  technique: {plus: .5}
  loaf: -2
`)
	if len(faults) != 1 || !strings.Contains(faults[0].Error(), `".5" is no number of points`) {
		t.Fatal(faults)
	}
	v, faults := staff(t, `
words:
  outcome: [{knockdown: {pressure: true}}, {sacked: {also: [sack]}}]
points:
  battle: {won: 0.5, lost: -0.25}
  outcome: {sack: 3, knockdown: 1.1, hurry: 1}
  technique: {plus: 0.5}
  loaf: -2
`)
	if faults != nil {
		t.Fatal(faults)
	}
	reps := repsIn(t, v, `{rusher: a, battle: won, outcome: sack, grade: {technique: plus}},
 {rusher: b, battle: lost, outcome: knockdown, grade: {technique: minus}, loaf: yes},
 {rusher: c, outcome: strip-sack},
 {rusher: d, battle: stalemate},
 {rusher: e, battle: won, outcome: knockdown}`)
	for i, want := range []string{
		"4 true",     // 0.5 + 3 + 0.5
		"-1.15 true", // -0.25 + 1.1 - 2; minus has no points
		"0 true",     // the staff's table takes the place of the templates'
		"0 true",
		"1.6 true", // exact: 0.5 + 1.1
	} {
		if got := fmt.Sprint(reps[i].Production()); got != want {
			t.Errorf("rep of %s: production %s, want %s", reps[i].Rusher.ID, got, want)
		}
	}
	// A table of outcomes alone knows nothing of a rep with a battle alone.
	v, faults = staff(t, "points: {outcome: {sack: 3}}\n")
	if faults != nil {
		t.Fatal(faults)
	}
	reps = repsIn(t, v, "{rusher: a, battle: won}, {rusher: b, outcome: no-factor}")
	for i, want := range []string{"0 false", "0 true"} {
		if got := fmt.Sprint(reps[i].Production()); got != want {
			t.Errorf("rep of %s: production %s, want %s", reps[i].Rusher.ID, got, want)
		}
	}
	// No table at all.
	v, faults = staff(t, "points: {}\n")
	if faults != nil {
		t.Fatal(faults)
	}
	if points, known := repsIn(t, v, "{rusher: a, outcome: sack}")[0].Production(); known {
		t.Errorf("production is %g with no table", points)
	}
}

// What counts as pressure, and as a sack, is the vocabulary's to say.
func TestPressureIsData(t *testing.T) {
	v, faults := staff(t, `words:
  outcome: [{knockdown: {pressure: true}}, {takedown: {also: [sack]}}, {hurry: {pressure: no}}, {smother: {sack: true}}, shadow]
`)
	if faults != nil {
		t.Fatal(faults)
	}
	for word, want := range map[string]string{
		"knockdown": "pressure", "sack": "pressure sack", "takedown": "pressure sack", "strip-sack": "pressure sack",
		"hurry": "", "smother": "pressure sack", "shadow": "", "hit": "pressure", "flush": "pressure", "no-factor": "",
	} {
		r := repsIn(t, v, "{rusher: a, outcome: "+word+"}")[0]
		got := ""
		if yes, known := r.Pressure(); yes && known {
			got = "pressure"
		}
		if yes, known := r.Sack(); yes && known {
			got += " sack"
		}
		if got != want {
			t.Errorf("%s counts as %q, want %q", word, got, want)
		}
	}
	r := repsIn(t, v, "{rusher: a, battle: won}")[0]
	if _, known := r.Pressure(); known {
		t.Error("pressure is known of a rep with no outcome")
	}
}

func TestPointsFaults(t *testing.T) {
	_, faults := staff(t, `points:
  outcome: {sak: 3, hit: two, hurry: 1000, flush: 1.005}
  batle: {won: 1}
  loaf: {"yes": 1}
words: {set: [{soft: {pressure: true}}], outcome: [{hurry: {sack: yes, pressure: no}}]}
`, "points: {outcome: {sack: 3}}\n")
	var got []string
	for _, f := range faults {
		got = append(got, f.Error())
	}
	want := []string{
		`a.vocabulary.yaml:3:13: unknown outcome "sak" in points; did you mean "sack"?`,
		`a.vocabulary.yaml:3:26: "two" is no number of points: want one such as 3, 1.5 or -1`,
		`a.vocabulary.yaml:3:38: "1000" is no number of points: want one such as 3, 1.5 or -1`,
		`a.vocabulary.yaml:3:51: "1.005" is no number of points: want one such as 3, 1.5 or -1`,
		`a.vocabulary.yaml:4:3: unknown key "batle" in points; did you mean "battle"?`,
		`a.vocabulary.yaml:5:9: loaf is a mapping, want text`,
		`a.vocabulary.yaml:6:16: set soft: pressure is for words of outcome or did`,
		`a.vocabulary.yaml:6:53: outcome hurry is a sack, and a sack is pressure`,
		`b.vocabulary.yaml:2:9: points is "outcome sack 3" here, but "outcome sak 3" at a.vocabulary.yaml:3:3`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
