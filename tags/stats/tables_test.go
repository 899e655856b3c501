package stats

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// season reads plays, written as the list under plays, as one game a text, in order of
// date; everybody may be named a, b or c, or blocked by x or y.
func season(t *testing.T, plays ...string) ([]*tags.Rep, *tags.Vocabulary) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for i, text := range plays {
		file := fmt.Sprintf(`trenchcut: 1
game: {id: g%d, date: 2026-09-%02d, opponent: Them}
film: {endzone: {file: x.mp4}}
people:
  a: {team: us, jersey: 91, name: Ann}
  b: {team: us, jersey: 92, name: Bea}
  c: {team: us, jersey: 93, name: Cy}
  x: {team: Them, jersey: 71}
  y: {team: Them, jersey: 72}
plays:
%s`, i, i+1, text)
		game, faults := tags.ParseGame(fmt.Sprintf("g%d.game.yaml", i), []byte(file), v)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, game)
	}
	return s.Reps(), v
}

// play is one play of a number and a type with reps, each in YAML's flow form.
func play(number int, kind string, reps ...string) string {
	return fmt.Sprintf("- {play: %d, type: %s, down: 3, distance: 8, in: 0:00:%02d, out: 0:00:%02d.9, marks: {snap: 0:00:%02d}, reps: [%s]}\n",
		number, kind, number, number, number, "{"+strings.Join(reps, "}, {")+"}")
}

func same(t *testing.T, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestPressurePerPlay(t *testing.T) {
	reps, v := season(
		t, play(1, "dropback", "rusher: a, outcome: hurry", "rusher: b, outcome: no-factor")+
			play(2, "dropback", "rusher: a, outcome: no-factor", "rusher: b, outcome: no-factor")+
			play(3, "dropback", "rusher: a, battle: won", "rusher: b, outcome: no-factor")+
			play(4, "dropback", "rusher: a, battle: won", "rusher: b, outcome: hit")+
			play(5, "dropback", "rusher: a, outcome: sack", "rusher: b, outcome: hit")+
			play(6, "screen", "rusher: a, outcome: sack"),
	)
	s := Dropbacks.Summarise(reps, v)
	// Of play 3 one rep says nothing, and the other does not say yes.
	// That plays are known the sooner for a yes leaves no more than bounds.
	same(t, Rate{Count: Count{3, 4}, Unknown: 1, Lopsided: true}, s.PlayPressure)
	alone, _ := season(t, play(1, "dropback", "rusher: a, outcome: hurry")+play(2, "dropback", "rusher: a, battle: won"))
	same(t, Rate{Count: Count{1, 1}, Unknown: 1}, Dropbacks.Summarise(alone, v).PlayPressure)
	spied, _ := season(t, play(1, "dropback", "rusher: a, battle: lost", "rusher: b, job: spy, outcome: hurry")+play(2, "dropback", "rusher: a, battle: won"))
	same(t, Rate{Count: Count{1, 1}, Unknown: 1, Lopsided: true}, Dropbacks.Summarise(spied, v).PlayPressure)
	same(t, Rate{Count: Count{4, 8}, Unknown: 2}, s.Headline.Pressure)
}

func TestTimes(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, battle: won, marks: {beat: +1.5s}", "rusher: b, battle: lost, marks: {finish: +3s}")+
			play(2, "dropback", "rusher: a, battle: won, marks: {beat: +2s}", "rusher: b, battle: stalemate, outcome: no-factor, marks: {release: +1.8s}")+
			play(3, "dropback", "rusher: a, battle: won", "rusher: b, battle: won, marks: {beat: +2.5s, release: +2.2s}")+
			play(4, "dropback", "rusher: a, battle: won, penalty: offside, marks: {beat: +1s}", "rusher: b, job: spy, battle: won, marks: {beat: +1s}")+
			play(5, "run", "rusher: a, battle: won, marks: {beat: +1s}"),
	)
	times := Dropbacks.Holds(reps, Rusher)
	var got []string
	for _, x := range times {
		got = append(got, fmt.Sprintf("%s: %d reps, %d watched, %d beaten, %d ended, %d unmarked", x.Name, x.Reps, x.Curve.Watches, x.Beaten, x.Ended, x.Unmarked))
	}
	same(t, []string{
		"all: 6 reps, 5 watched, 2 beaten, 3 ended, 1 unmarked",
		"#91 Ann: 3 reps, 2 watched, 2 beaten, 0 ended, 1 unmarked",
		"#92 Bea: 3 reps, 3 watched, 0 beaten, 3 ended, 0 unmarked",
	}, got)
	// By hand: at 1.5 s all five are left, at 2 s three: 1 - 4/5*2/3 = 7/15 are beaten by 2 s.
	all := times[0]
	risk := []int{}
	for _, at := range all.At {
		risk = append(risk, at.AtRisk)
	}
	same(t, []int{3, 1, 1, 0}, risk)
	watches, _ := Watches(Dropbacks.Rushes(reps))
	if step := KaplanMeier(watches).Steps[1]; math.Abs(step.Holds-8./15) > 1e-12 {
		t.Errorf("by 2 s %+v, want 8/15", step)
	}
	// Fewer than five are going by any of these times, so nothing is told of them.
	for _, at := range all.At {
		if at.Share != nil {
			t.Errorf("by %s a share of %g is told", at.By, *at.Share)
		}
	}
	if all.Mean.At != nil || all.Median.At != nil || len(all.Curve.Steps) != 1 {
		t.Errorf("of so few there is a mean, a median or a curve: %+v %+v, %d steps", all.Mean, all.Median, len(all.Curve.Steps))
	}

	// The rates count the same rushes but the one with the ball out at 1.8 s. Of a's three one
	// win has no beat marked; b's beat of 2.5 s came after the ball was out.
	got = nil
	for _, x := range Dropbacks.TimesToBeat(reps, Rusher) {
		line := fmt.Sprintf("%s: %d reps, in time %s, %d unknown, at all %s, %d over first", x.Name, x.Reps, x.InTime.Count, x.InTime.Unknown, x.Beaten.Count, x.Over)
		for _, at := range x.At {
			line += fmt.Sprintf(", %s of %d", at.Beaten.Count, at.Going)
		}
		got = append(got, line)
	}
	same(t, []string{
		"all: 5 reps, in time 2/4, 1 unknown, at all 2/4, 2 over first, 2/4 of 3, 2/4 of 1, 2/4 of 1, 2/4 of 0",
		"#91 Ann: 3 reps, in time 2/2, 1 unknown, at all 2/2, 0 over first, 2/2 of 1, 2/2 of 0, 2/2 of 0, 2/2 of 0",
		"#92 Bea: 2 reps, in time 0/2, 0 unknown, at all 0/2, 2 over first, 0/2 of 2, 0/2 of 1, 0/2 of 1, 0/2 of 0",
	}, got)
}

func TestSequence(t *testing.T) {
	reps, _ := season(
		t,
		play(1, "dropback", "rusher: a, blocker: {who: x}, move: [bull], battle: lost, outcome: no-factor", "rusher: b, blocker: {who: x}, move: [rip], battle: won")+
			play(2, "quick", "rusher: a, blocker: {who: x}, move: [dip, bull], battle: lost")+
			play(3, "dropback", "rusher: a, blocker: {who: x}, move: [arm-over], battle: won, outcome: sack"),
		play(1, "dropback", "rusher: a, blocker: {who: x}, move: [bull], battle: lost", "rusher: b, blocker: {who: y}, move: [rip], battle: won")+
			play(2, "dropback", "rusher: a, move: [spin], battle: won")+
			play(3, "dropback", "rusher: a, blocker: {who: x}, move: [spin], battle: stalemate"),
	)
	s := Dropbacks.Sequence(reps, reps)
	var got []string
	for _, a := range s.Followers {
		line := fmt.Sprintf("%s twice %v: %v", a.Shown, a.Twice, a.All.Won.Count)
		for _, n := range a.Next {
			line += fmt.Sprintf(", %s %v", n.Name, n.Won.Count)
		}
		got = append(got, line)
	}
	same(t, []string{
		// The quick play shows the bull, and is no rush that counts.
		"bull twice false: 1/2, arm-over 1/1, spin 0/1",
		"bull twice true: 1/1, arm-over 1/1",
		"arm-over twice false: 0/1, bull 0/1",
	}, got)
	same(t, []int{3, 3, 1}, []int{s.Reps, s.Firsts, s.Untagged})
}

func TestTendencies(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, move: [bull], battle: lost", "rusher: b, move: [bull, spin], battle: lost")+
			play(2, "dropback", "rusher: a, move: [dip], blocker: {set: short}, battle: won", "rusher: b, battle: lost, blocker: {set: short}")+
			play(3, "run", "rusher: a, battle: won, blocker: {set: short}"),
	)
	set := func(r *tags.Rep) []string { return []string{r.Set} }
	got := Tendencies(Dropbacks.Rushes(reps), "set", set, strings.Compare)
	same(t, []Tendency{
		{"set", "first-move", false, []Situation{
			{"short", 2, 1, []NamedRate{{"dip", Rate{Count: Count{1, 1}, Unknown: 1}}}},
			{NotTagged, 2, 0, []NamedRate{{"bull", Rate{Count: Count{2, 2}, Unknown: 0}}}},
		}},
		{"set", "path", false, []Situation{
			{"short", 2, 1, []NamedRate{{"outside", Rate{Count: Count{1, 1}, Unknown: 1}}}},
			{NotTagged, 2, 0, []NamedRate{{"inside", Rate{Count: Count{1, 2}, Unknown: 0}}, {"through", Rate{Count: Count{1, 2}, Unknown: 0}}}},
		}},
		{"set", "set", true, []Situation{{"short", 2, 0, []NamedRate{{"short", Rate{Count: Count{2, 2}, Unknown: 0}}}}, {NotTagged, 2, 2, nil}}},
		{"set", "help", true, []Situation{{"short", 2, 2, nil}, {NotTagged, 2, 2, nil}}},
	}, got)
}

// R 4.2.2: a <- c(.10,.12,.14,.16,.18); b <- c(.20,.21,.22,.23,.29,.29); t.test(a)$conf.int,
// sd(a), t.test(a, b)$conf.int, of which the degrees of freedom, 8.99, are rounded down here.
func TestGetOffs(t *testing.T) {
	var plays string
	for i, at := range []string{"+0.10s", "+0.12s", "+0.14s", "+0.16s", "+0.18s"} {
		plays += play(i+1, "run", "rusher: a, marks: {getoff: "+at+"}, battle: won")
	}
	for i, at := range []string{"+0.20s", "+0.21s", "+0.22s", "+0.23s", "+0.29s", "+0.29s"} {
		plays += play(i+10, "dropback", "rusher: b, marks: {getoff: "+at+"}, battle: won", "rusher: c, battle: won")
	}
	reps, _ := season(t, plays)
	list := GetOffs(reps, Rusher, func(r *tags.Rep) tags.Rate {
		if r.Rusher.ID == "a" {
			return tags.Rate{Num: 25, Den: 1}
		}
		return tags.Rate{}
	})
	var names []string
	for _, g := range list {
		names = append(names, fmt.Sprintf("%s %d %d", g.Name, g.N, g.Unmarked))
	}
	same(t, []string{"all 11 6", "#91 Ann 5 0", "#92 Bea 6 0", "#93 Cy 0 6"}, names)
	a := list[1]
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 5e-6 {
			t.Errorf("%s is %.6f, want %.6f", what, got, want)
		}
	}
	near("mean", *a.Mean, 0.14)
	near("low", *a.Low, 0.10073514)
	near("high", *a.High, 0.17926486)
	near("sd", *a.SD, 0.03162278)
	near("half a frame", *a.Frame, 0.02)
	near("gap", a.Gap.D, -0.1)
	if low, high := -0.148875782, -0.051124218; a.Gap.Low > low || a.Gap.High < high || a.Gap.High-a.Gap.Low > 1.03*(high-low) {
		t.Errorf("the gap is from %.6f to %.6f, want a little more than %.6f to %.6f", a.Gap.Low, a.Gap.High, low, high)
	}
	if list[2].Frame != nil || list[0].Frame != nil {
		t.Error("half a frame is told of film whose rate is not known")
	}
	near("the others' gap", list[2].Gap.D, 0.1)
}

// R 4.2.2: qt(.975, c(1, 4, 9, 30, 201, 1000, 1001, 5000)).
func TestStudent(t *testing.T) {
	for df, want := range map[int]float64{1: 12.70620474, 4: 2.77644511, 9: 2.26215716, 30: 2.04227246, 201: 1.97183651, 1000: 1.96233908, 1001: 1.96233671, 5000: 1.96043855} {
		if got := student(df); math.Abs(got-want) > 2e-6*want {
			t.Errorf("%d degrees of freedom: %.8f, want %.8f", df, got, want)
		}
	}
}

func TestRuns(t *testing.T) {
	reps, v := season(
		t, play(1, "run", "rusher: a, battle: won, outcome: tackle-for-loss", "rusher: b, battle: won, outcome: edge-set")+
			play(2, "run", "rusher: a, battle: lost, outcome: no-factor, how: washed, contain: lost", "rusher: b, battle: won, outcome: stop, contain: had, marks: {beat: +1s}")+
			play(3, "run", "rusher: a, battle: stalemate, contain: kept", "rusher: b, battle: won, penalty: offside", "rusher: c, job: contain, battle: won")+
			play(4, "dropback", "rusher: a, battle: won"),
	)
	got := Runs(reps, v)[0]
	same(t, Run{
		Name: All, Reps: 5,
		Won:         Rate{Count: Count{3, 5}, Unknown: 0},
		Penetration: Rate{Count: Count{2, 4}, Unknown: 1, Lopsided: true}, // the edge was set by a win with no beat marked
		Stop:        Rate{Count: Count{2, 4}, Unknown: 1},
		Edge:        Rate{Count: Count{2, 3}, Unknown: 1},
		Outcomes:    []Part{{"tackle-for-loss", 1}, {"stop", 1}, {"edge-set", 1}, {"no-factor", 1}, {NotTagged, 1}},
		How:         []Part{{"washed", 1}},
	}, got)
}

func TestStunts(t *testing.T) {
	reps, v := season(
		t, play(1, "dropback", "rusher: a, job: looper, stunt: tackle-end, called: coach, battle: won, outcome: sack, credit: clean-up", "rusher: b, job: penetrator, stunt: tackle-end, called: coach, battle: stalemate, outcome: no-factor, credit: freed-looper")+
			play(2, "dropback", "rusher: a, job: looper, stunt: pirate, battle: lost, outcome: no-factor")+
			play(3, "run", "rusher: a, job: looper, stunt: pirate, battle: won")+
			play(4, "dropback", "rusher: a, battle: won"),
	)
	s := Dropbacks.StuntsOf(reps, v)
	var got []string
	for _, k := range s.Kinds {
		line := fmt.Sprintf("%s %d plays %v freed %d", k.Name, k.Plays, k.PlayPressure.Count, k.FreedLooper)
		for _, r := range k.Roles {
			line += fmt.Sprintf(", %s %v", r.Name, r.Won.Count)
		}
		got = append(got, line)
	}
	for _, c := range s.Callers {
		got = append(got, fmt.Sprintf("by %s %v", c.Name, c.Won.Count))
	}
	same(t, []string{
		"all 2 plays 1/2 freed 1, penetrator 0/1, looper 1/2",
		"tackle-end 1 plays 1/1 freed 1, penetrator 0/1, looper 1/1",
		"pirate 1 plays 0/1 freed 0, looper 0/1",
		"by coach 1/2", "by not tagged 0/1",
	}, got)
}

func TestContains(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, battle: won, contain: lost", "rusher: b, battle: won, contain: kept", "rusher: c, job: contain, battle: stalemate")+
			play(2, "run", "rusher: a, battle: lost, contain: had", "rusher: b, battle: lost, contain: kept, penalty: offside", "rusher: c, battle: won"),
	)
	same(t, []Contain{
		{All, 4, Rate{Count: Count{1, 2}, Unknown: 2}, 1},
		{"on passes", 3, Rate{Count: Count{1, 2}, Unknown: 1}, 1},
		{"on runs", 1, Rate{Count: Count{0, 0}, Unknown: 1}, 0},
		{"#91 Ann", 2, Rate{Count: Count{0, 1}, Unknown: 1}, 1},
		{"#92 Bea", 1, Rate{Count: Count{1, 1}, Unknown: 0}, 0},
		{"#93 Cy", 1, Rate{Count: Count{0, 0}, Unknown: 1}, 0},
	}, Contains(reps))
}

func TestReads(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, move: [rip], battle: won", "rusher: b, move: [bull], battle: lost", "rusher: c, battle: won")+
			play(2, "dropback", "rusher: a, move: [bull], outcome: hit", "rusher: b, taken: not-his-job, battle: won"),
	)
	short := []string{"short-set"}
	seen := []Seen{
		{Rep: reps[0], There: []string{"short-set", "leaning"}, Taken: short, Others: []string{"leaning"}, Judged: true},
		{Rep: reps[1], There: short, Others: short, Missed: short, Judged: true},
		{Rep: reps[2], There: short, Unknown: []string{"leaning", "overset"}},
		{Rep: reps[3], There: short, Taken: short, Judged: true},
		{Rep: reps[4], There: short, Judged: true},
	}
	got := Reads(seen, []string{"short-set", "overset", "leaning"})
	same(t, []Read{
		{"short-set", 5, 0, Rate{Count: Count{2, 3}, Unknown: 1}, 1, 1, Rate{Count: Count{1, 1}, Unknown: 1}, Rate{Count: Count{0, 1}, Unknown: 0}, nil},
		{Name: "overset", Unknown: 1},
		{"leaning", 1, 1, Rate{Count: Count{0, 1}, Unknown: 0}, 0, 0, Rate{}, Rate{Count: Count{1, 1}, Unknown: 0}, nil},
	}, got)
	same(t, got[2:], Reads(seen, []string{"leaning"})) // what else was seen counts nowhere
	var many []Seen
	for i := range 16 {
		s := Seen{Rep: reps[i%2], There: short, Judged: true}
		if i%2 == 0 {
			s.Taken = short
		} else {
			s.Others = short
		}
		many = append(many, s)
	}
	want := Compare(Count{8, 8}, Count{0, 8})
	same(t, &want, Reads(many, short)[0].Pays)
}

func TestGrades(t *testing.T) {
	reps, _ := season(
		t, play(1, "dropback", "rusher: a, battle: won, grade: {assignment: plus, technique: minus}, contain: lost", "rusher: b, battle: won"),
		play(1, "run", "rusher: a, battle: won, penalty: offside, grade: {effort: zero, assignment: plus}, loaf: yes", "rusher: b, battle: won, missed-assignment: yes")+
			play(2, "screen", "rusher: b, battle: won"),
	)
	// What the table gives is the vocabulary's to say; that it is added up is this table's.
	points := map[string]*float64{}
	for _, r := range reps {
		if p, known := r.Production(); known {
			if points[r.Rusher.ID] == nil {
				points[r.Rusher.ID] = new(float64)
			}
			*points[r.Rusher.ID] += p
		}
	}
	if points["a"] == nil || *points["a"] == 0 {
		t.Fatal("the vocabulary has no points for these: the test proves nothing of them")
	}
	by := func(points *float64, snaps float64) *float64 {
		each := *points / snaps
		return &each
	}
	grades := Grades(reps)
	for i := range grades {
		grades[i].Reps = nil
	}
	same(t, []Grade{
		{Name: "b", Jersey: "92", Shown: "Bea", Snaps: 3, MissedAssignments: 1, Points: points["b"], PerSnap: by(points["b"], 3), Unpriced: 2},
		{
			Name: "a", Jersey: "91", Shown: "Ann", Snaps: 2, Graded: 2, Loafs: 1, LostContain: 1, Points: points["a"], PerSnap: by(points["a"], 2),
			Assignment: Marks{Plus: 2}, Technique: Marks{Minus: 1}, Effort: Marks{Zero: 1},
		},
	}, grades)
}

func TestReachedAtTheEnds(t *testing.T) {
	at := func(beaten ...bool) Curve {
		var list []Watch
		for i, b := range beaten {
			list = append(list, Watch{Until: tags.Time(i+1) * tags.Second / 2, Beat: b})
		}
		return KaplanMeier(list)
	}
	for _, c := range []struct {
		name            string
		curve           Curve
		share, low, top float64
	}{
		// Six ran, five to 1 s at least, and nobody is beaten: as 0 of 5.
		{"none", at(false, false, false, false, false, false), 0, 0, 0.4344825},
		// The one whose watch ended first counts for nothing: as 5 of 5.
		{"all", KaplanMeier(append(watches([]int{1, 1, 1, 1, 1}), Watch{Until: tags.Second / 2})), 1, 0.5655175, 1},
	} {
		r := c.curve.reached(tags.Second)
		if r.Share == nil || *r.Share != c.share || math.Abs(*r.Low-c.low) > 1e-6 || math.Abs(*r.High-c.top) > 1e-6 {
			t.Errorf("%s: %+v", c.name, r)
		}
	}
}
