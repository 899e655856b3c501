package stats

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// reps reads a game in which play 1 is a dropback, 2 a run, 3 quick and 4 of no type, and
// gives the reps that lines add to them: "1: rusher: a, battle: won".
func reps(t *testing.T, lines ...string) ([]*tags.Rep, *tags.Vocabulary) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	var file strings.Builder
	file.WriteString("trenchcut: 1\ngame: {id: g}\nfilm: {endzone: {file: x.mp4}}\npeople:\n  b1: {jersey: 72}\n")
	for i := range lines {
		fmt.Fprintf(&file, "  r%d: {team: us}\n", i)
	}
	file.WriteString("plays:\n")
	for play, kind := range []string{"dropback", "run", "quick", ""} {
		fmt.Fprintf(&file, "- {play: %d, in: 0:00:01, out: 0:00:09, marks: {snap: 0:00:03}", play+1)
		if kind != "" {
			fmt.Fprintf(&file, ", type: %s", kind)
		}
		file.WriteString(", reps: [")
		for i, line := range lines {
			if rest, ok := strings.CutPrefix(line, fmt.Sprintf("%d: ", play+1)); ok {
				fmt.Fprintf(&file, "{rusher: r%d, %s},", i, rest)
			}
		}
		file.WriteString("]}\n")
	}
	game, faults := tags.ParseGame("g.game.yaml", []byte(file.String()), v)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return (&tags.Season{Games: []*tags.Game{game}}).Reps(), v
}

var mixed = []string{
	"1: battle: won, outcome: sack, marks: {beat: +2.5s}, move: [bull], blocker: {who: b1}, help: none",
	"1: battle: won, outcome: strip-sack, marks: {beat: +2.501s}, move: [spin], help: chip-te",
	"1: battle: lost, outcome: no-factor, move: [bull], unblocked: yes",
	"1: battle: won, move: [bull, spin], stunt: pirate, job: looper",
	"1: outcome: hurry, penalty: drew-hold, help: none, blocker: {set: short}",
	"1: battle: stalemate, outcome: flush, penalty: offside",
	"1: battle: stalemate, outcome: no-factor, marks: {release: +1.9s}",
	"1: battle: won, outcome: sack, job: spy",
	"2: battle: won, outcome: stop",
	"3: battle: won, outcome: sack",
	"4: battle: won, outcome: sack",
}

func TestSummarise(t *testing.T) {
	rs, v := reps(t, mixed...)
	got := Dropbacks.Summarise(rs, v)
	want := Summary{
		Scope: Dropbacks, Reps: 11, Plays: 4, DrewHold: 1,
		PlayPressure: Rate{Count: Count{1, 1}, Lopsided: true}, PlaySack: Rate{Count: Count{1, 1}, Lopsided: true}, Given: []Part{},
		Headline: Group{
			Name: "all", Reps: 5,
			Won:      Rate{Count: Count{4, 5}, Lopsided: true}, // of one win the hold alone tells
			Pressure: Rate{Count: Count{3, 4}, Unknown: 1},
			// Of the hurry and the sacks no credit is tagged, and they were won.
			PressureWon: Rate{Count: Count{3, 4}, Unknown: 1},
			Sack:        Rate{Count: Count{2, 4}, Unknown: 1},
			Sacks:       2. / 3, // of one play, which a third shares
			// Beaten at the limit is in time, a millisecond later is not; two wins have no beat marked.
			BeatInTime: Rate{Count: Count{1, 3}, Unknown: 2, Lopsided: true},
		},
		Apart: []Part{
			{"ball out", 1},
			{"offside", 1},
			{"on quick plays", 1},
			{"on run plays", 1},
			{"play type not tagged", 1},
			{"with the job spy", 1},
		},
		Matchups: []Group{
			{"one-on-one", 2, Rate{Count: Count{2, 2}, Lopsided: true}, Rate{Count: Count{2, 2}, Unknown: 0}, Rate{Count: Count{2, 2}, Unknown: 0}, Rate{Count: Count{1, 2}, Unknown: 0}, Rate{Count: Count{1, 1}, Unknown: 1, Lopsided: true}, 0, 1. / 3},
			{"helped", 1, Rate{Count: Count{1, 1}, Unknown: 0}, Rate{Count: Count{1, 1}, Unknown: 0}, Rate{Count: Count{1, 1}, Unknown: 0}, Rate{Count: Count{1, 1}, Unknown: 0}, Rate{Count: Count{0, 1}, Unknown: 0, Lopsided: true}, 0, 1. / 3},
			{"stunt", 1, Rate{Count: Count{1, 1}, Unknown: 0}, Rate{Count: Count{0, 0}, Unknown: 1}, Rate{Count: Count{0, 0}, Unknown: 1}, Rate{Count: Count{0, 0}, Unknown: 1}, Rate{Count: Count{0, 0}, Unknown: 1, Lopsided: true}, 0, 0},
			{"unblocked", 1, Rate{Count: Count{0, 1}, Unknown: 0}, Rate{Count: Count{0, 1}, Unknown: 0}, Rate{Count: Count{0, 1}, Unknown: 0}, Rate{Count: Count{0, 1}, Unknown: 0}, Rate{Count: Count{0, 1}, Unknown: 0, Lopsided: true}, 0, 0},
		},
		Outcomes: []Part{{"strip-sack", 1}, {"sack", 1}, {"hurry", 1}, {"no-factor", 1}, {NotTagged, 1}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("summary (-want +got):\n%s", diff)
	}
}

func TestSummariseIgnoresOrderAndRepeats(t *testing.T) {
	rs, v := reps(t, mixed...)
	want := Dropbacks.Summarise(rs, v)
	random := rand.New(rand.NewSource(1))
	for range 50 {
		again := append(append([]*tags.Rep{}, rs...), rs[random.Intn(len(rs))])
		random.Shuffle(len(again), func(i, j int) { again[i], again[j] = again[j], again[i] })
		if diff := cmp.Diff(want, Dropbacks.Summarise(again, v)); diff != "" {
			t.Fatalf("another order, and one rep twice (-want +got):\n%s", diff)
		}
	}
}

func TestALossNeverRaisesARate(t *testing.T) {
	before, v := reps(t, mixed...)
	after, _ := reps(t, append(append([]string{}, mixed...), "1: battle: lost, outcome: no-factor")...)
	a, b := Dropbacks.Summarise(before, v).Headline.Rates(), Dropbacks.Summarise(after, v).Headline.Rates()
	for i := range a {
		if b[i].N != a[i].N+1 || b[i].K != a[i].K {
			t.Errorf("%s: %v became %v with one loss more", a[i].Name, a[i].Count, b[i].Count)
		}
	}
}

func TestBy(t *testing.T) {
	rs, _ := reps(t, mixed...)
	groups := By(Dropbacks.Counted(rs), func(r *tags.Rep) []string {
		names := []string{""}
		for _, m := range r.Moves {
			names = append(names, m.Name, m.Name)
		}
		return names
	})
	var got []string
	for _, g := range groups {
		got = append(got, fmt.Sprintf("%s %d %v", g.Name, g.Reps, g.Won.Count))
	}
	want := []string{"bull 3 2/3", "spin 2 2/2", "not tagged 1 1/1"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("groups (-want +got):\n%s", diff)
	}
}

func TestShares(t *testing.T) {
	for _, test := range []struct {
		name     string
		reps     []string
		shares   string // name k/n and whether it has a bar
		sentence string
	}{
		{"none", nil, "", "No rep was chosen."},
		{"apart", []string{"2: battle: won"}, "", "None of the chosen reps counts towards a rate: 1 on run plays."},
		{"few", []string{"1: battle: won", "1: battle: lost"}, "won 1/2 false, beat in time 0/1 false", "Won 1 of 2: too few for a rate."},
		{"no battle", []string{"1: outcome: hit"}, "pressure 1/1 false, sack 0/1 false", "Pressure on 1 of 1: too few for a rate."},
		{
			"enough",
			[]string{"1: battle: won", "1: battle: won", "1: battle: won", "1: battle: won", "1: battle: lost"},
			"won 4/5 true, beat in time 0/1 false", "Won 4 of 5, 80 %, small sample: anything from 38 to 96 in 100 rushes fits.",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			rs, v := reps(t, test.reps...)
			shares, sentence := Dropbacks.Shares(rs, v)
			var lines []string
			for _, s := range shares {
				lines = append(lines, fmt.Sprintf("%s %v %v", s.Name, s.Count, s.Bar))
				if low, high := s.Interval(); s.Low > low || s.High < high || s.Name != BeatInTime && (s.Low != low || s.High != high) {
					t.Errorf("%s: bar from %g to %g, want %g to %g", s.Name, s.Low, s.High, low, high)
				}
			}
			if got := strings.Join(lines, ", "); got != test.shares {
				t.Errorf("shares: got %q, want %q", got, test.shares)
			}
			if sentence != test.sentence {
				t.Errorf("sentence: got %q, want %q", sentence, test.sentence)
			}
		})
	}
}
