package tags

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// readOf is the read that answers make, and that has no condition a rep could fail.
func readOf(t *testing.T, answers string) Read {
	t.Helper()
	v, faults := staffOf(t, ReadsSuffix, []string{"reads: {r: {when: set=short, answers: " + answers + "}}"})
	if faults != nil {
		t.Fatal(faults)
	}
	return v.Reads[len(v.Reads)-1]
}

func TestReadTaken(t *testing.T) {
	for _, c := range []struct{ answers, rep, want string }{
		{"[{path: inside}]", "oke spin won", "yes"},
		{"[{path: inside}]", "oke bull>spin won", "yes"},
		{"[{path: inside}]", "oke spin>bull won", "no"}, // where it ended counts
		{"[{path: [outside, through]}]", "oke spin>bull won", "yes"},
		{"[{path: inside}]", "oke rip/inside won", "yes"},
		{"[{move: bull}]", "oke bull>spin won", "yes"}, // anywhere in the rush
		{"[{move: bull-rush}]", "oke bull won", "yes"}, // by an alias
		{"[{move: bull}]", "oke spin won", "no"},
		{"[{first-move: bull}]", "oke spin>bull won", "no"},
		{"[{first-move: [bull, spin]}]", "oke spin>bull won", "yes"},
		{"[{family: hands}]", "oke swipe>spin won", "no"}, // of the last move
		{"[{first-family: hands}]", "oke swipe>spin won", "yes"},
		{"[{move: spin, path: inside}]", "oke spin/outside won", "no"}, // all of one answer
		{"[{move: spin, path: inside}, {path: outside}]", "oke spin/outside won", "yes"},
		{"[{path: inside}]", "oke won", "unknown"},
	} {
		if got := answer(readOf(t, c.answers).Taken(oneRep(t, c.rep))); got != c.want {
			t.Errorf("%s by %s: %s, want %s", c.answers, c.rep, got, c.want)
		}
	}
}

func TestAnswered(t *testing.T) {
	inside, through := readOf(t, "[{path: inside}]"), readOf(t, "[{path: through}]")
	inside.Name, through.Name = "inside", "through"
	for _, c := range []struct{ rep, want string }{
		{"oke spin won", "took inside not through known true"},
		{"oke dip won", "took  not inside through known true"},
		{"oke won", "took  not  known false"},
		{"{rusher: oke, battle: won, move: spin, taken: yes}", "took inside through not  known true"},
		{"{rusher: oke, battle: won, move: spin, taken: no}", "took  not inside through known true"},
		{"{rusher: oke, battle: won, move: spin, taken: not-his-job}", "took  not  known true"},
		{"{rusher: oke, battle: won, taken: no}", "took  not inside through known true"}, // with no move
	} {
		taken, others, known := oneRep(t, c.rep).Answered([]Read{inside, through})
		got := "took " + strings.Join(taken, " ") + " not " + strings.Join(others, " ") + " known " + map[bool]string{true: "true", false: "false"}[known]
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.rep, got, c.want)
		}
	}
}

// Who won has missed nothing, and the coach's word outranks every rule.
func TestMissed(t *testing.T) {
	through := readOf(t, "[{path: through}]")
	through.Name = "through"
	for _, c := range []struct{ rep, want string }{
		{"oke spin lost", "through known"},
		{"oke spin even", "through known"},
		{"oke spin won", " known"},
		{"oke bull lost", " known"}, // he took it
		{"oke spin hit", " known"},
		{"{rusher: oke, move: spin, battle: lost, outcome: sack}", " known"},
		{"{rusher: oke, move: spin, battle: lost, outcome: sack, credit: coverage}", "through known"},
		{"{rusher: oke, move: spin, battle: lost, outcome: sack, credit: clean-up}", "through known"},
		{"{rusher: oke, move: spin, battle: stalemate, penalty: drew-hold}", " known"},
		{"oke spin no-factor", " unknown"},                                             // it is not tagged who won
		{"{rusher: oke, move: spin, battle: lost, marks: {release: +1.2s}}", " known"}, // the ball was out
		{"{rusher: oke, move: spin, battle: lost, point: Plant first.}", " known"},
		{"{rusher: oke, move: spin, battle: lost, note: Too deep.}", " known"},
		{"{rusher: oke, move: spin, battle: lost, point: Plant first., taken: no}", "through known"}, // the coach's own word
		{"{rusher: oke, move: spin, battle: won, taken: no}", " known"},
	} {
		r := oneRep(t, c.rep)
		_, others, known := r.Answered([]Read{through})
		if !known {
			t.Fatalf("%s: not known", c.rep)
		}
		missed, known := r.Missed(others)
		got := strings.Join(missed, " ") + map[bool]string{true: " known", false: " unknown"}[known]
		if got != c.want {
			t.Errorf("%s: missed %q, want %q", c.rep, got, c.want)
		}
	}
}

func TestStaffReads(t *testing.T) {
	before := vocabulary(t)
	v, faults := staffOf(t, ReadsSuffix, []string{
		"reads: {overset: {when: set=overset, answers: [{move: spin}], why: Ours.}}\nwithout: leaning\n",
		"reads: {late-hands: {when: hands=late, answers: [{first-family: hands}]}}\nwithout: [leaning]\n",
	})
	if faults != nil {
		t.Fatal(faults)
	}
	want := append(slices.DeleteFunc(before.ReadNames(), func(name string) bool { return name == "leaning" }), "late-hands")
	if diff := cmp.Diff(want, v.ReadNames()); diff != "" {
		t.Error(diff)
	}
	if rd := v.Reads[slices.Index(v.ReadNames(), "overset")]; rd.Why != "Ours." || rd.Where.Text != "" || !cmp.Equal(rd.Answers, []Answer{{Move: []string{"spin"}}}) {
		t.Errorf("the staff's read is %+v", rd)
	}
}

func TestReadsFaults(t *testing.T) {
	_, faults := staffOf(t, ReadsSuffix, []string{`reads:
  a: {when: set=short, answers: [{path: insid}, {move: [bull, spinn]}, {family: pwer}, {}, {gap: A}]}
  b: {answers: [{path: inside}], wy: x}
  c: {when: "", where: " ", answers: [{path: inside}]}
  d: {when: set=short}
  e: []
  f:
  two words: {when: set=short, answers: [{path: inside}]}
  g: {when: set=short, answers: [{path: inside}]}
without: [g, oversett]
`, `reads: {a: {when: set=short, answers: [{path: inside}]}}
read: {}
`})
	golden(t, "reads.golden", faults.Error()+"\n")
}

// A read calls for a move where a rush by it, on its usual path, would take the read, or
// where an answer names it.
func TestReadCallsFor(t *testing.T) {
	v, err := DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for move, want := range map[string][]string{
		"spin":           {"overset", "running-for-width", "qb-depth"}, // by its path
		"swipe":          {"short-set", "jump-set", "arms-extended", "qb-runs"},
		"bull":           {"vertical-set", "hands-high", "wide-chip", "qb-runs", "double-team"},
		"arm-over":       {"short-set", "jump-set", "overset", "running-for-width", "leaning", "arms-extended", "hands-low", "qb-depth"},
		"speed-to-power": {"vertical-set", "running-for-width", "hands-high", "wide-chip", "qb-runs", "double-team"},
	} {
		w, ok := v.List("move").Find(move)
		if !ok {
			t.Fatalf("no move %s", move)
		}
		var got []string
		for _, rd := range v.Reads {
			if rd.CallsFor(w) {
				got = append(got, rd.Name)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s is called for by %q, want %q", move, got, want)
		}
	}
	// Named, it is asked for whatever its usual path; all keys of an answer must hold.
	rip, _ := v.List("move").Find("rip")
	for _, c := range []struct {
		answer Answer
		want   bool
	}{
		{Answer{Move: []string{"rip"}, Path: []string{"inside"}}, true},
		{Answer{Path: []string{"inside"}}, false},
		{Answer{Move: []string{"rip"}, Family: []string{"power"}}, false},
		{Answer{FirstMove: []string{"bull"}}, false},
	} {
		if got := (Read{Answers: []Answer{c.answer}}).CallsFor(rip); got != c.want {
			t.Errorf("%+v calls for a rip: %v, want %v", c.answer, got, c.want)
		}
	}
}
