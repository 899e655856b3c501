package plan_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// plays is which plays p shows for themselves, in order.
func plays(p *plan.Plan) string {
	var list []string
	for _, e := range p.Entries {
		if e.Clip() && e.Shows == plan.ShowsPlay {
			list = append(list, fmt.Sprint(e.Play))
		}
	}
	return strings.Join(list, " ")
}

func TestPick(t *testing.T) {
	six := rushes(
		"{rusher: marlow, move: [spin], battle: lost, point: Hands first.}",
		"{rusher: marlow, move: [spin], battle: lost, point: Hands first.}",
		"{rusher: okafor, move: [spin], battle: lost, point: Hands first.}",
		"{rusher: marlow, move: [bull], battle: lost}",
		"{rusher: marlow, move: [rip], battle: won}",
		"{rusher: marlow, move: [bull], battle: lost}",
	)
	for name, c := range map[string]struct {
		says string
		want string
	}{
		"all":                              {"", "1 2 3 4 5 6"},
		"the same point twice":             {"same: {point: 2}", "1 2 4 5 6"},
		"and what has none is not same":    {"same: {point: 1, move: 2}", "1 4 5 6"},
		"the limit is filled all the same": {"same: {point: 1}\nlimit: 3", "1 4 5"},
		"varied by rusher, then by move":   {"vary: [rusher, move]\nlimit: 3", "1 3 4"},
		"varied by move alone":             {"vary: yes\nlimit: 3", "1 4 5"},
		"no vary without a limit":          {"vary: [rusher]", "1 2 3 4 5 6"},
		"a row of losses is broken":        {"in-a-row: 2", "1 2 5 6"},
		"within the limit":                 {"in-a-row: 1\nlimit: 2", "1 5"},
		"turned round by the order":        {"in-a-row: 3\norder: [point, film]", "1 2 3 5 6"},
	} {
		r, err := plan.ParseRecipe("x.reel.yaml", []byte("trenchcut: 1\nangles: [sideline]\n"+c.says+"\n"), recipe(t))
		if err != nil {
			t.Fatal(err)
		}
		p, err := asked(t, six, r, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := plays(p); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// Nothing is said of a play that the limit left no room for; one that cannot be shown takes
// no room.
func TestLimitSaysNothingOfTheRest(t *testing.T) {
	text := rushes("91 5 spin won", "91 5 bull won", "91 5 rip won")
	text = strings.Replace(text, "sideline:", "endzone:", 1)                                                       // the first is not on the angle
	text = strings.Replace(text, "beat: +1.2s, finish: +2s}, reps: [91 5 rip", "finish: +2s}, reps: [91 5 rip", 1) // the last has no beat
	r := recipe(t)
	r.Angles, r.Limit = []string{"sideline"}, 1
	r.Replay = plan.Replay{From: plan.Moment{Mark: tags.Contact}, To: plan.Moment{Mark: tags.Beat}, Speed: plan.Speed{Num: 1, Den: 2}}
	p, err := asked(t, text, r, nil)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"wk1-harbor-p001: it is not on the angles asked for"}, p.LeftOut); diff != "" || plays(p) != "2" {
		t.Errorf("shows %s; %s", plays(p), diff)
	}
}

// What the coach praised is nothing to work on: it has no place among the points, and what is
// to be corrected leaves it out.
func TestPraiseIsNothingToFix(t *testing.T) {
	text := rushes(
		"{rusher: marlow, move: [spin], battle: lost, point: A good fight., praise: yes}",
		"{rusher: marlow, move: [spin], battle: lost, note: A good fight., praise: yes}",
		"{rusher: marlow, move: [spin], battle: lost}",
		"{rusher: marlow, move: [spin], battle: lost, note: Look., praise: no}",
		"{rusher: marlow, move: [spin], battle: lost, point: Hands first., praise: no}",
	)
	for order, want := range map[plan.Order]string{plan.ByPoint: "5 1 2 3 4", plan.ByWhy: "5 4 1 2 3"} {
		r := recipe(t)
		r.Order = []plan.Order{order}
		p, err := asked(t, text, r, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := plays(p); got != want {
			t.Errorf("by %s: %s, want %s", order, got, want)
		}
	}
	for name, want := range map[string]string{"correction": "5 4 3", "teach": "5 4"} {
		p, err := asked(t, text, ours(t, name, "move=spin", "rusher=91"), nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := plays(p); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}

// Where what a part leaves out goes by how reps ended, no rate is told of the rest.
func TestNoRateOfWhatResultsChose(t *testing.T) {
	six := rushes(
		"{rusher: marlow, move: [spin], battle: lost, point: Hands first.}",
		"{rusher: marlow, move: [spin], battle: lost}",
		"{rusher: marlow, move: [spin], battle: won, outcome: sack}",
		"{rusher: okafor, move: [rip], battle: lost, point: Hands first.}",
		"{rusher: okafor, move: [rip], battle: lost}",
		"{rusher: okafor, move: [rip], battle: won}",
	)
	for says, told := range map[string]bool{
		"":                                    true,
		"limit: 3":                            true,
		"limit: 3\norder: down":               true,
		"limit: 3\nvary: [rusher]":            true,
		"limit: 6\norder: why":                true, // nothing is left out
		"limit: 6\norder: outcome":            true,
		"limit: 3\norder: outcome":            false,
		"limit: 3\norder: time-to-beat":       false,
		"limit: 3\norder: why":                false,
		"limit: 3\norder: [down, point]":      false,
		"limit: 3\nvary: [point]":             false,
		"same: {rusher: 2}":                   true,
		"same: {point: 2}":                    true, // no point more often
		"same: {point: 1}":                    false,
		"in-a-row: 2":                         true,
		"in-a-row: 1":                         false,
		"in-a-row: 1\nlimit: 3":               false,
		"sections: [{title: A}, {title: B}]":  true,
		"sections: [{title: A, in-a-row: 1}]": false,
		"sections: [{title: A, limit: 2, order: why}, {title: B}]": false,
	} {
		r, err := plan.ParseRecipe("x.reel.yaml", []byte("trenchcut: 1\nangles: [sideline]\n"+says+"\n"), recipe(t))
		if err != nil {
			t.Fatal(err)
		}
		p, err := asked(t, six, r, nil)
		if err != nil {
			t.Fatal(err)
		}
		card := p.Entries[len(p.Entries)-1].Segment.Card
		if got := len(card.Shares) > 0; got != told || strings.Contains(strings.Join(card.Lines, " "), "no rate") == told {
			t.Errorf("%q: rates are told: %v, want %v; %q", says, got, told, card.Lines)
		}
		for _, e := range p.Entries {
			if e.Chapter == "A" && len(e.Segment.Card.Shares) > 0 != told {
				t.Errorf("%q: the section tells rates: %v, want %v", says, !told, told)
			}
		}
	}
}

// A hold that he drew is a win in every recipe, whatever is tagged of the battle, and its label
// says so.
func TestDrawnHoldIsWon(t *testing.T) {
	const held = "{rusher: marlow, job: rush, move: [spin], blocker: {who: okafor, set: short}, battle: lost, outcome: no-factor, penalty: drew-hold}"
	lost := strings.Replace(held, ", penalty: drew-hold", "", 1)
	for name, want := range map[string]string{
		"highlight":   "Title: 1",
		"meeting":     "Wins: 1 Against short sets: 1 2 3",
		"opponent":    "How he was beaten: 1 Against his short sets: 1 2 3 Where he won: 2 3",
		"correction":  "Fix: 2 3 Do it like this: 1",
		"teach":       "Done well: 1 Not done well, and why: 2 3",
		"in-a-row: 1": "Title: 2 1 3",
	} {
		r, reps := recipe(t), []string{held, lost, lost}
		if row, ok := strings.CutPrefix(name, "in-a-row: "); ok {
			r.InARow, reps = len(row), []string{lost, held, lost}
			want = "Title: 1 2 3"
		} else {
			r = ours(t, name, "move=spin")
		}
		p, err := asked(t, rushes(reps...), r, nil)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, e := range p.Entries {
			switch {
			case e.Segment.Kind == plan.Slate:
				if e.Shows == plan.ShowsPlay && e.Chapter != "Numbers" {
					got = strings.TrimSuffix(got, "Title:") + " " + e.Chapter + ":"
				}
			case e.Clip() && e.Shows == plan.ShowsPlay:
				got += fmt.Sprintf(" %d", e.Play)
			}
			for _, l := range e.Segment.Layers {
				if l.Label != nil && len(e.Reps) == 1 && strings.HasPrefix(e.Reps[0], "wk1-harbor-p001") && r.InARow != 1 && strings.Contains(strings.Join(l.Label.Lines, " "), "lost") {
					t.Errorf("%s: the label of the hold says %q", name, l.Label.Lines)
				}
			}
		}
		if got = strings.TrimSpace(got); got != want {
			t.Errorf("%s shows %q, want %q", name, got, want)
		}
	}
}

// The correction recipe, over seasons drawn at random: at most eight losses, no point more
// than twice, what is alike together, never four in a row before a win is seen, and a
// good rep at the end where there is one.
func TestCorrectionIsNoParade(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 25))
	bare, ended, capped := 0, 0, 0
	for range 30 {
		var reps []string
		for range 5 + random.IntN(12) {
			rep := "{rusher: marlow, battle: " + []string{"lost", "lost", "lost", "even", "won"}[random.IntN(5)]
			rep += ", move: [" + []string{"spin", "bull", "rip", "dip"}[random.IntN(4)] + "]"
			rep += ", align: " + []string{"5", "9"}[random.IntN(2)] + ", blocker: {set: " + []string{"short", "vertical", "angle"}[random.IntN(3)] + "}"
			if n := random.IntN(6); n < 3 {
				rep += ", point: " + []string{"Hands first.", "Stay low.", "Bend."}[n]
			}
			reps = append(reps, rep+"}")
		}
		won := strings.Contains(strings.Join(reps, ""), "battle: won")
		p, err := asked(t, rushes(reps...), ours(t, "correction", "rusher=91"), nil)
		if err != nil {
			t.Fatal(err)
		}
		points := map[string]int{}
		losses, row, closing, last, done := 0, 0, false, "", map[string]bool{}
		for i, e := range p.Entries {
			closing = closing || e.Chapter == "Do it like this"
			if !e.Clip() || closing {
				continue
			}
			if e.Shows == plan.ShowsModel {
				row = 0
				continue
			}
			losses++
			row++
			if row > 3 {
				t.Errorf("%d losses in a row: %q", row, story(p))
			}
			if i+1 < len(p.Entries) && row == 3 {
				bare++
			}
			point := ""
			if n := e.Play - 1; strings.Contains(reps[n], "point: ") {
				point = strings.SplitN(reps[n], "point: ", 2)[1]
			}
			if point != last && done[point] {
				t.Errorf("the point %q is taken up again: %q", point, story(p))
			}
			done[point], last = true, point
			if points[point]++; point != "" && points[point] > 2 {
				t.Errorf("%q %d times", point, points[point])
			}
			if points[point] == 2 && point != "" {
				capped++
			}
		}
		if losses > 8 {
			t.Errorf("%d losses", losses)
		}
		if closing != won {
			t.Errorf("ends on a good rep: %v, though there is one: %v", closing, won)
		}
		if closing {
			ended++
		} else if len(p.Few) != 1 || p.Few[0].Section != "Do it like this" {
			t.Errorf("that there is no good rep to end on is not said: %v", p.Few)
		}
	}
	if bare == 0 || ended == 0 || ended == 30 || capped == 0 {
		t.Errorf("the seasons tried nothing: %d rows of three, %d ended well, %d points twice", bare, ended, capped)
	}
}

// The chapter of a teammate's model does not tell his number; his own may.
func TestModelChapters(t *testing.T) {
	text := rushes("55 5 bull short won sack", "91 5 bull short lost", "91 9 spin vertical won hurry", "91 9 spin vertical lost")
	r := recipe(t)
	r.Choose, r.Model, r.Angles = []string{"battle=lost"}, true, []string{"sideline"}
	for names, want := range map[plan.Names]string{
		plan.FullNames: "p002-91 p001 model p004-91 p003-91 model",
		plan.ByNumber:  "p002-91 p001 model p004-91 p003-91 model",
		plan.NoNames:   "p002 p001 model p004 p003 model",
	} {
		r.Names = names
		p, err := asked(t, text, r, nil)
		if err != nil {
			t.Fatal(err)
		}
		chapters := story(p)
		if got := strings.Join(chapters[1:len(chapters)-1], " "); got != want {
			t.Errorf("names %s: %s, want %s", names, got, want)
		}
		for _, e := range p.Entries {
			for _, l := range e.Segment.Layers {
				said := ""
				if l.Label != nil {
					said = l.Label.Lead + strings.Join(l.Label.Lines, " ")
				}
				if l.Ring != nil {
					said += l.Ring.Tab
				}
				told := strings.Contains(said, "Okafor") || strings.Contains(said, "55")
				if told && names == plan.NoNames || strings.Contains(said, "Okafor") && names == plan.ByNumber {
					t.Errorf("names %s: a label says %q", names, said)
				}
			}
		}
	}
}

// No fault is shown as what to do like, nor a foul as a highlight.
func TestNoFaultToDoLike(t *testing.T) {
	for _, fault := range []string{"penalty: offside", "loaf: yes", "grade: {technique: minus}", "unblocked: yes", "contain: lost", "missed-assignment: yes", "taken: no", "point: Too high., praise: no"} {
		plays := rushes("{rusher: marlow, job: rush, move: [spin], battle: won, outcome: sack, "+fault+"}", "91 5 spin lost", "91 5 spin won hurry", "91 5 spin won", "91 5 spin won")
		for name, part := range map[string]string{"correction": "Do it like this", "teach": "Done well", "highlight": "Title"} {
			terms := []string{"rusher=marlow"}
			if name == "teach" {
				terms = append(terms, "move=spin")
			}
			p, err := asked(t, plays, ours(t, name, terms...), nil)
			if err != nil {
				t.Fatal(err)
			}
			list := story(p)
			at := slices.Index(list, part)
			if at < 0 || len(list) <= at+1 {
				t.Fatalf("%s has no part %q: %q", name, part, list)
			}
			foul := strings.HasPrefix(fault, "penalty")
			if first := list[at+1] == "p001-91"; first != (name == "highlight" && !foul) {
				t.Errorf("%s, %s: %q", name, fault, list)
			}
		}
	}
}
