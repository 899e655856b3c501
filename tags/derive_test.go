package tags

import "testing"

// oneRep reads one rep as the only one of play 1, at third and eight.
func oneRep(t *testing.T, text string) *Rep {
	t.Helper()
	g, faults := parseText(t, "  - {play: 1, type: dropback, down: 3, distance: 8, in: 1s, out: 9s, marks: {snap: 3s}, reps: ["+text+"]}\n")
	if faults != nil {
		t.Fatalf("%s: %v", text, faults)
	}
	return g.Plays[0].Reps[0]
}

// answer is a derived fact: yes, no or unknown.
func answer(yes, known bool) string {
	switch {
	case !known && yes:
		return "yes, yet unknown"
	case !known:
		return "unknown"
	case yes:
		return "yes"
	default:
		return "no"
	}
}

func TestMoves(t *testing.T) {
	for _, c := range []struct{ rep, path, family, counter, combination string }{
		{"oke won", "", "", "unknown", "unknown"},
		{"oke bull won", "through", "power", "no", "no"},
		{"oke spin won", "inside", "change", "yes", "no"}, // one move of a counter family, inside
		{"oke spin/outside won", "outside", "change", "no", "no"},
		{"oke hesitation won", "outside", "change", "no", "no"},
		{"oke arm-over won", "inside", "hands", "no", "no"}, // inside all along is no counter
		{"{rusher: oke, battle: won, move: spin, counter: no}", "inside", "change", "no", "no"},
		// A rush with its finish on the same path.
		{"oke long-arm>rip won", "outside", "hands", "no", "yes"},
		{"oke arm-over>spin won", "inside", "change", "no", "yes"},
		// Outside or through to inside, or back.
		{"oke long-arm>up-and-under won", "inside", "change", "yes", "no"},
		{"oke bull>arm-over won", "inside", "hands", "yes", "no"},
		{"oke arm-over>rip won", "outside", "hands", "yes", "no"},
		{"oke spin>bull won", "through", "power", "yes", "no"},
		{"oke long-arm>spin>rip won", "outside", "hands", "yes", "no"},
		// The path that was taken is what counts, not the usual one.
		{"oke long-arm>arm-over/outside won", "outside", "hands", "no", "yes"},
		{"oke rip/inside won", "inside", "hands", "no", "no"},
		{"oke rip>rip/inside won", "inside", "hands", "yes", "no"},
		// The staff's own word.
		{"{rusher: oke, battle: won, move: bull, counter: yes}", "through", "power", "yes", "no"},
		{"{rusher: oke, battle: won, move: bull>spin, counter: no}", "inside", "change", "no", "yes"},
		{"{rusher: oke, battle: won, counter: no}", "", "", "no", "no"},
	} {
		r := oneRep(t, c.rep)
		if got := r.Path(); got != c.path {
			t.Errorf("%s: path %q, want %q", c.rep, got, c.path)
		}
		if got := r.Family(); got != c.family {
			t.Errorf("%s: family %q, want %q", c.rep, got, c.family)
		}
		if got := answer(r.IsCounter()); got != c.counter {
			t.Errorf("%s: counter %s, want %s", c.rep, got, c.counter)
		}
		if got := answer(r.IsCombination()); got != c.combination {
			t.Errorf("%s: combination %s, want %s", c.rep, got, c.combination)
		}
	}
}

func TestMatchup(t *testing.T) {
	for _, c := range []struct{ rep, alone, matchup string }{
		{"oke won", "unknown", ""},
		{"oke short won", "unknown", ""}, // help is not tagged
		{"oke short none won", "yes", "one-on-one"},
		{"oke reach won", "yes", "one-on-one"},
		{"{rusher: oke, battle: won, blocker: {who: q72}}", "unknown", ""},
		{"{rusher: oke, battle: won, help: none, blocker: {who: q72}}", "yes", "one-on-one"},
		{"oke none won", "unknown", ""}, // no help, but against whom?
		{"oke short chip-te won", "no", "helped"},
		{"oke short slide-to won", "no", "helped"},
		{"{rusher: oke, battle: won, blocker: {who: q72, block: double}}", "no", "helped"},
		{"oke short twist won", "no", "stunt"},
		{"oke twist chip-rb won", "no", "stunt"},
		{"{rusher: oke, battle: won, unblocked: yes}", "no", "unblocked"},
		{"{rusher: oke, battle: won, unblocked: yes, stunt: pirate}", "no", "unblocked"},
		{"{rusher: oke, battle: won, unblocked: no, help: none}", "yes", "one-on-one"},
	} {
		r := oneRep(t, c.rep)
		if got := answer(r.OneOnOne()); got != c.alone {
			t.Errorf("%s: one-on-one %s, want %s", c.rep, got, c.alone)
		}
		if got := r.Matchup(); got != c.matchup {
			t.Errorf("%s: matchup %q, want %q", c.rep, got, c.matchup)
		}
	}
}

func TestResults(t *testing.T) {
	for _, c := range []struct{ rep, inTime, pressure, won string }{
		{"oke won", "unknown", "unknown", "yes"},
		{"oke even", "no", "unknown", "no"},
		{"oke lost no-factor", "no", "no", "no"},
		{"oke sack", "unknown", "yes", "unknown"},
		{"oke strip-sack", "unknown", "yes", "unknown"},
		{"oke hit", "unknown", "yes", "unknown"},
		{"oke won hurry", "unknown", "yes", "yes"},
		{"oke won flush", "unknown", "yes", "yes"},
		{"oke won batted", "unknown", "no", "yes"},
		{"oke won half-sack", "unknown", "yes", "yes"},
		{"oke missed-sack missed-tackle", "unknown", "yes", "unknown"}, // a missed sack is pressure and a miss
		{"oke won tackle", "unknown", "unknown", "yes"},                // which says nothing of pressure
		{"oke no-factor missed-sack", "unknown", "yes", "unknown"},
		{"{rusher: oke, battle: won, marks: {beat: +2.5s}}", "yes", "unknown", "yes"}, // the limit is within
		{"{rusher: oke, battle: won, marks: {beat: +2.501s}}", "no", "unknown", "yes"},
		{"{rusher: oke, battle: won, marks: {beat: 0:05.4}}", "yes", "unknown", "yes"}, // 2.4 s after the snap at 3 s
		{"{rusher: oke, battle: won, marks: {beat: 0:05.6}}", "no", "unknown", "yes"},
		{"{rusher: oke, battle: lost, penalty: drew-hold}", "unknown", "unknown", "yes"}, // a drawn hold counts as won
		// A beat after the ball was out is none; one as it leaves is one.
		{"{rusher: oke, battle: won, marks: {beat: +2.4s, release: +2.3s}}", "no", "unknown", "yes"},
		{"{rusher: oke, battle: won, marks: {beat: +2.4s, release: +2.4s}}", "yes", "unknown", "yes"},
		{"{rusher: oke, battle: won, marks: {beat: +2.4s, release: +3s, finish: +2.3s}}", "no", "unknown", "yes"},
		{"{rusher: oke, battle: lost, marks: {release: +2.3s}}", "no", "unknown", "no"},
		{"{rusher: oke, outcome: no-factor, marks: {release: +2.3s}}", "unknown", "no", "unknown"},
		{"{rusher: oke, outcome: no-factor, penalty: drew-hold}", "unknown", "no", "yes"},
		{"{rusher: oke, battle: lost, penalty: offside}", "no", "unknown", "no"},
	} {
		r := oneRep(t, c.rep)
		if got := answer(r.BeatInTime()); got != c.inTime {
			t.Errorf("%s: beat in time %s, want %s", c.rep, got, c.inTime)
		}
		if got := answer(r.Pressure()); got != c.pressure {
			t.Errorf("%s: pressure %s, want %s", c.rep, got, c.pressure)
		}
		if got := answer(r.Won()); got != c.won {
			t.Errorf("%s: won %s, want %s", c.rep, got, c.won)
		}
	}
}

func TestOverSooner(t *testing.T) {
	for rep, want := range map[string]string{
		"oke lost": "unknown",
		"oke won":  "unknown",
		"{rusher: oke, battle: lost, marks: {release: +2.4s}}":              "yes",
		"{rusher: oke, battle: lost, marks: {release: +2.5s}}":              "no",
		"{rusher: oke, battle: lost, marks: {release: +3s, finish: +2.4s}}": "yes",
		"{rusher: oke, battle: won, marks: {beat: +2.4s, release: +2.3s}}":  "yes",
		"{rusher: oke, battle: won, marks: {beat: +2.2s, release: +2.3s}}":  "no",
		"{rusher: oke, battle: won, marks: {beat: +2.8s}}":                  "no",
	} {
		if got := answer(oneRep(t, rep).OverSooner()); got != want {
			t.Errorf("%s: over sooner %s, want %s", rep, got, want)
		}
	}
}

func TestRushes(t *testing.T) {
	want := map[string]bool{"rush": true, "penetrator": true, "looper": true, "contain": false, "spy": false, "drop": false, "run-fit": false}
	names := vocabulary(t).List("job").Names()
	if len(names) != len(want) {
		t.Errorf("the vocabulary has jobs %q", names)
	}
	for _, job := range names {
		if got := oneRep(t, "oke won "+job).Rushes(); got != want[job] {
			t.Errorf("job %s rushes: %t, want %t", job, got, want[job])
		}
	}
}

// Long is seven or more, short two or less (common practice).
func TestDownClass(t *testing.T) {
	n := func(i int) *int { return &i }
	for _, c := range []struct {
		down, distance *int
		want           string
	}{
		{nil, nil, ""},
		{nil, n(8), ""},
		{n(1), n(10), "first-down"},
		{n(1), n(1), "first-down"},
		{n(2), nil, "second-down"},
		{n(2), n(7), "second-long"},
		{n(3), n(99), "third-long"},
		{n(3), n(6), "third-medium"},
		{n(3), n(3), "third-medium"},
		{n(3), n(2), "third-short"},
		{n(4), n(1), "fourth-short"},
	} {
		if got := (&Play{Game: &Game{vocabulary: vocabulary(t)}, Down: c.down, Distance: c.distance}).DownClass(); got != c.want {
			t.Errorf("down class is %q, want %q", got, c.want)
		}
	}
}

// A rep's marks come before those its play lends it.
func TestSince(t *testing.T) {
	g, faults := parseText(t, `  - {play: 1, in: 1s, out: 9s, marks: {snap: 3s, release: +2s, finish: 0:08}, reps: [{rusher: oke, battle: won, marks: {release: +2.1s, getoff: f80}}]}
  - {play: 2, in: 1s, out: 9s, marks: {beat: +1.5s, release: 0:05}, reps: [oke won]}
`)
	if faults != nil {
		t.Fatal(faults)
	}
	const ms = Millisecond
	marked, unsnapped := g.Plays[0].Reps[0], g.Plays[1].Reps[0]
	wantMarks(t, marked.Since, map[Mark]Time{Snap: 0, Release: 2100 * ms, Finish: 5000 * ms}) // a frame, and no rate yet
	g.SetClock("/f/ez.mp4", Clock{Rate: Rate{25, 1}})
	wantMarks(t, marked.Since, map[Mark]Time{Snap: 0, Getoff: 200 * ms, Release: 2100 * ms, Finish: 5000 * ms})
	wantMarks(t, unsnapped.Since, map[Mark]Time{Beat: 1500 * ms})
}

// The play's beat is that of a rep that was won, or of its only one of which it is not known; not of
// one that was lost. Which of several won is not known where it is not tagged.
func TestBeatOfThePlay(t *testing.T) {
	for rep, want := range map[string]string{
		"{rusher: oke, battle: won}":                                                     "yes",
		"{rusher: oke, outcome: hit}":                                                    "yes",
		"{rusher: oke, battle: lost}":                                                    "no",
		"{rusher: oke, battle: lost, penalty: drew-hold}":                                "yes",
		"{rusher: oke, battle: stalemate, marks: {beat: +2.4s}}":                         "yes",
		"{rusher: oke, outcome: hit}, {rusher: bryn, battle: won}":                       "unknown",
		"{rusher: oke, outcome: hit, marks: {beat: +2.4s}}, {rusher: bryn, battle: won}": "yes",
		"{rusher: oke, battle: won}, {rusher: bryn, battle: won}":                        "yes",
	} {
		g, faults := parseText(t, "  - {play: 1, type: dropback, in: 1s, out: 9s, marks: {snap: 3s, beat: +2s}, reps: ["+rep+"]}\n")
		if faults != nil {
			t.Fatal(faults)
		}
		r := g.Plays[0].Reps[0]
		if got := answer(r.BeatInTime()); got != want {
			t.Errorf("%s: beat in time %s, want %s", rep, got, want)
		}
	}
}
