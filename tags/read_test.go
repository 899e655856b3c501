package tags

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags/files"
)

func vocabulary(t testing.TB) *Vocabulary {
	t.Helper()
	v, err := DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// parse reads a file of testdata that has no faults.
func parse(t *testing.T, name string) *Game {
	t.Helper()
	file := filepath.Join("testdata", name)
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	g, faults := ParseGame(file, data, vocabulary(t))
	if len(faults) > 0 {
		t.Fatalf("faults in %s:\n%v", name, faults)
	}
	return g
}

// parseText reads a game whose plays are written in text.
func parseText(t *testing.T, plays string) (*Game, Faults) {
	t.Helper()
	return ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
film: {endzone: {file: /f/ez.mp4}, sideline: {file: /f/sl.mp4}}
people:
  oke: {name: Sol Oke, team: us, jersey: 91}
  bryn: {name: Ifan Bryn, team: us, jersey: 9}
  q72: {team: Quarry Tech, jersey: 72, pos: LT}
plays:
`+plays), vocabulary(t))
}

func absolute(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return path
}

func TestReadGame(t *testing.T) {
	g := parse(t, "harbor.game.yaml")
	if got, want := [6]string{g.ID, g.Kind, g.Date, g.Us, g.Opponent, g.Field}, [6]string{"wk2-harbor", "game", "2026-09-12", "Cedar Hollow", "Harbor State", "college"}; got != want {
		t.Errorf("game is %q, want %q", got, want)
	}
	var films []string
	for _, f := range g.Films {
		films = append(films, f.Angle+" "+f.File)
	}
	if want := []string{"endzone " + absolute(t, "film/harbor-endzone.mp4"), "sideline " + absolute(t, "film/harbor-sideline.mp4")}; !cmp.Equal(films, want) {
		t.Error(cmp.Diff(want, films))
	}
	marlow, harbor := g.People["marlow"], g.People["harbor72"]
	for got, want := range map[string]string{
		marlow.Shown(): "#91 Teo Marlow", marlow.Team: "us", marlow.Position: "DE",
		harbor.Shown(): "#72", harbor.Team: "Harbor State", harbor.Position: "RT",
	} {
		if got != want {
			t.Errorf("person has %q, want %q", got, want)
		}
	}

	p := g.Plays[0]
	if p.Name() != "wk2-harbor-p014" || p.Type != "dropback" || *p.Quarter != 1 || p.Clock != "11:32" || *p.Down != 3 || *p.Distance != 8 || p.Series != nil {
		t.Errorf("play reads as %+v", p)
	}
	const ms = Millisecond
	for _, want := range []View{
		{Angle: "endzone", File: absolute(t, "film/harbor-endzone.mp4"), In: 482_100 * ms, Out: 489_900 * ms, Snap: 485_000 * ms, Snaps: true},
		{Angle: "sideline", File: absolute(t, "film/harbor-sideline.mp4"), In: 751_200 * ms, Out: 759_000 * ms, Snap: 754_100 * ms, Snaps: true},
	} {
		wantView(t, p.View, want)
	}
	if _, err := p.View("tower"); err == nil || !strings.Contains(err.Error(), `play 14 is not on angle "tower"`) {
		t.Errorf("view on an angle there is not fails with %v", err)
	}

	r := p.Reps[0]
	got := *r
	got.Play, got.Pos, got.Marks = nil, Pos{}, Marks{}
	want := Rep{
		Rusher: marlow, Job: "rush", Align: "9", Side: "left",
		Blocker: harbor, Set: "short", Hands: "high",
		Moves:  []Move{{"long-arm", "outside"}, {"up-and-under", "inside"}},
		Battle: "won", Outcome: "sack", Technique: "plus",
		Point: "Outside foot up before the arm goes across.",
		Spot:  map[string]Point{"endzone": {0.42, 0.55}},
		Draw:  []Drawing{{At: Beat, Angle: "endzone", Shape: "arrow", Points: []Point{{0.42, 0.55}, {0.50, 0.48}}}},
	}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(Rep{}, Marks{}, Person{}, identity{})); diff != "" {
		t.Error(diff)
	}
	wantMarks(t, r.Since, map[Mark]Time{Snap: 0, Getoff: 200 * ms, Contact: 850 * ms, Turn: 1300 * ms, Beat: 1900 * ms, Release: 2640 * ms})
	wantMarks(t, p.Since, map[Mark]Time{Snap: 0, Release: 2640 * ms})
	if got, want := r.Name(), "wk2-harbor-p014-91"; got != want {
		t.Errorf("rep is named %s, want %s", got, want)
	}
	if got, want := r.Sequence(), "long-arm>up-and-under"; got != want {
		t.Errorf("rep's moves are written %s, want %s", got, want)
	}
	if beat, ok := r.Marks.At(Beat); !ok || beat.Pos != (Pos{g.Pos.File, 27, 70}) {
		t.Errorf("beat stands at %v, want 27:70", beat)
	}
	if faults := g.CheckFilm(extents(g, Rate{25, 1}, 20*60*25)); faults != nil {
		t.Errorf("faults against film: %v", faults)
	}
}

// extents gives every film of g the same rate and length.
func extents(g *Game, r Rate, frames Frame) map[string]Extent {
	es := map[string]Extent{}
	for _, f := range g.Files() {
		es[f.File] = Extent{Clock: Clock{Rate: r}, Frames: frames}
	}
	return es
}

func wantView(t *testing.T, of func(string) (View, error), want View) {
	t.Helper()
	got, err := of(want.Angle)
	if err != nil {
		t.Error(err)
		return
	}
	got.Pos, got.InPos, got.OutPos, got.SnapPos = Pos{}, Pos{}, Pos{}, Pos{}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// wantMarks wants the marks at their times, and no others known.
func wantMarks(t *testing.T, since func(Mark) (Time, bool), want map[Mark]Time) {
	t.Helper()
	for _, m := range AllMarks {
		got, known := since(m)
		if w, ok := want[m]; ok != known || (ok && got != w) {
			t.Errorf("mark %s is %s, known %t; want %s, known %t", m, got, known, w, ok)
		}
	}
}

func TestReadForms(t *testing.T) {
	g := parse(t, "forms.game.yaml")
	pal := Rate{25, 1}
	ez, side, clip3, clip4 := absolute(t, "film/quarry.mp4"), absolute(t, "film/quarry-side.mp4"), absolute(t, "clips/003.mp4"), absolute(t, "clips/004.mp4")
	var files []string
	for _, f := range g.Files() {
		files = append(files, f.File)
	}
	if want := []string{ez, side, clip3, clip4}; !cmp.Equal(files, want) {
		t.Error(cmp.Diff(want, files))
	}
	if g.Kind != "game" {
		t.Errorf("a game of no kind is %q, want game", g.Kind)
	}

	one, two, three, four := g.Plays[0], g.Plays[1], g.Plays[2], g.Plays[3]
	if _, err := two.View("endzone"); err == nil || !strings.HasSuffix(err.Error(), ErrNoRate.Error()) {
		t.Errorf("a play in frames of film that is not known fails with %v", err)
	}
	// A camera's time of day as start timecode.
	g.SetClock(ez, Clock{Rate: pal, Start: Frame(((19*60+26)*60+48)*25 + 4)})

	const ms = Millisecond
	wantAngles(t, one, "endzone", "sideline")
	wantView(t, one.View, View{Angle: "endzone", File: ez, In: 751_000 * ms, Out: 761_500 * ms, Snap: 754_000 * ms, Snaps: true})
	wantView(t, one.View, View{Angle: "sideline", File: side, In: 749_750 * ms, Out: 760_250 * ms, Snap: 752_750 * ms, Snaps: true})
	wantMarks(t, one.Since, map[Mark]Time{Snap: 0, Release: 2900 * ms})

	wantView(t, two.View, View{Angle: "endzone", File: ez, In: 4 * Second, Out: 12 * Second, Snap: 8 * Second, Snaps: true})
	if want := map[string]string{"wind": "091", "roof": "yes", "plan": "1e3"}; !cmp.Equal(two.Extra, want) {
		t.Error(cmp.Diff(want, two.Extra))
	}
	// The number as written: 091 is not 91.
	if got := two.Reps[0].Rusher; got.ID != "akau" || got.Name != "Kāwika ʻAkau" || got.Runs {
		t.Errorf("091 is %+v", got)
	}
	type rep struct{ Rusher, Job, Align, Side, Set, Help, Stunt, Sequence, Path, Battle, Outcome string }
	var got []rep
	for _, r := range two.Reps {
		got = append(got, rep{r.Rusher.ID, r.Job, r.Align, r.Side, r.Set, r.Help, r.Stunt, r.Sequence(), r.Path(), r.Battle, r.Outcome})
	}
	want := []rep{
		{Rusher: "akau", Job: "rush", Align: "9", Set: "short", Sequence: "long-arm>up-and-under", Path: "inside", Outcome: "sack"},
		{Rusher: "bryn", Job: "looper", Align: "7", Side: "left", Help: "double", Stunt: "tackle-end", Sequence: "club-rip/inside>spin/through", Path: "through", Outcome: "flush"},
		{Rusher: "oke", Job: "rush", Align: "wide-9", Sequence: "bull>arm-over/outside", Path: "outside", Battle: "lost"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if got, want := two.Reps[1].Moves, []Move{{"club-rip", "inside"}, {"spin", "through"}}; !cmp.Equal(got, want) {
		t.Error(cmp.Diff(want, got))
	}

	// A rep's own in and out: from the snap it holds anywhere, on film it is carried over.
	own := two.Reps[2]
	wantView(t, own.View, View{Angle: "endzone", File: ez, In: 8 * Second, Out: 280 * 40 * ms, Snap: 8 * Second, Snaps: true})
	wantView(t, own.View, View{Angle: "sideline", File: side, In: 6750 * ms, Out: 9950 * ms, Snap: 6750 * ms, Snaps: true})
	wantView(t, two.Reps[0].View, View{Angle: "endzone", File: ez, In: 4 * Second, Out: 12 * Second, Snap: 8 * Second, Snaps: true})

	wantAngles(t, three, "endzone", "sideline", "tight")
	wantView(t, three.View, View{Angle: "endzone", File: ez, In: 2 * Second, Out: 10 * Second, Snap: 5 * Second, Snaps: true})
	wantView(t, three.View, View{Angle: "tight", File: clip3, ToEnd: true})
	wantAngles(t, four, "tight")
	wantView(t, four.View, View{Angle: "tight", File: clip4, ToEnd: true, Snap: 3 * Second, Snaps: true})
}

func wantAngles(t *testing.T, p *Play, want ...string) {
	t.Helper()
	if got := p.Angles(); !cmp.Equal(got, want) {
		t.Errorf("play %d is on %q, want %q", p.Number, got, want)
	}
}

// Film in step with the first angle needs no snap to carry a rep's own in over.
func TestRepOnFilmInStep(t *testing.T) {
	g, faults := ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
film: {endzone: {file: /f/ez.mp4}, sideline: {file: /f/sl.mp4, offset: 5s}}
people: {oke: {team: us, jersey: 91}}
plays: [{play: 1, in: 10s, out: 19s, reps: [{rusher: oke, battle: won, in: 12s}, {rusher: oke, battle: won, in: +1s}]}]
`), vocabulary(t))
	if want := "x.game.yaml:5:91: oke has two reps in play 1"; faults.Error() != want {
		t.Errorf("faults are %v, want %s", faults, want)
	}
	carried, snapped := g.Plays[0].Reps[0], g.Plays[0].Reps[1]
	wantView(t, carried.View, View{Angle: "sideline", File: "/f/sl.mp4", In: 17 * Second, Out: 24 * Second})
	if v, err := snapped.View("sideline"); err == nil || !strings.Contains(err.Error(), "needs the snap on angle sideline") {
		t.Errorf("a time from a snap that is not known gives %+v, %v", v, err)
	}
}

// Film of several parts is one film with one path, and each part is named from the file's folder.
func TestFilmOfParts(t *testing.T) {
	const text = "trenchcut: 1\ngame: {id: x}\nfilm: {ez: {file: [vts_01_1.vob, /disc/vts_01_2.vob], offset: 1s}, sl: {file: [sl.mp4]}}\n"
	g, faults := ParseGame("testdata/x.game.yaml", []byte(text), vocabulary(t))
	if faults != nil {
		t.Fatal(faults)
	}
	data, err := pack(g)
	if err != nil {
		t.Fatal(err)
	}
	unpacked, ok := unpack(data, g.Pos.File, g.vocabulary)
	if !ok {
		t.Fatal("what was packed is not unpacked")
	}
	for _, g := range []*Game{g, unpacked} {
		refs := g.Files()
		if len(refs) != 2 {
			t.Fatalf("files are %v, want two", refs)
		}
		if got, want := files.Parts(refs[0].File), []string{absolute(t, "vts_01_1.vob"), "/disc/vts_01_2.vob"}; !cmp.Equal(got, want) {
			t.Error(cmp.Diff(want, got))
		}
		if got, want := refs[1].File, absolute(t, "sl.mp4"); got != want {
			t.Errorf("a list of one file is %q, want %q", got, want)
		}
	}
	for film, want := range map[string]string{
		"[]":          "3:19: the list of the film's parts is empty",
		"[a, b, ./a]": "3:26: " + absolute(t, "a") + " is named twice among the parts of one film",
		"[a, ~]":      "3:23: a part of the film names no file",
		"[a, {b: c}]": "3:23: file is a mapping, want text",
		`[a, "b\0c"]`: "3:23: file holds a NUL character",
		"{a: b}":      "3:19: file is a mapping, want text",
	} {
		_, faults := ParseGame("testdata/x.game.yaml", []byte("trenchcut: 1\ngame: {id: x}\nfilm: {ez: {file: "+film+"}}\n"), vocabulary(t))
		if len(faults) == 0 || !strings.HasSuffix(faults[0].Pos.String()+": "+faults[0].What, want) {
			t.Errorf("file: %s has the faults %v, want %s", film, faults, want)
		}
	}
}

// A clock that runs fast is a little farther ahead at each later play.
func TestDrift(t *testing.T) {
	g, faults := ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
film: {endzone: {file: /f/ez.mp4}, sideline: {file: /f/sl.mp4, offset: -5s, drift: -100}}
plays: [{play: 1, in: 1:00:00.000, out: 1:00:10.000, marks: {snap: 1:00:05.000}}]
`), vocabulary(t))
	if faults != nil {
		t.Fatal(faults)
	}
	// -100 millionths of an hour are -360 ms, and of ten seconds more another -1 ms.
	const start = 3600*Second - 5*Second - 360*Millisecond
	wantView(t, g.Plays[0].View, View{
		Angle: "sideline", File: "/f/sl.mp4", In: start, Out: start + 10*Second - Millisecond,
		Snap: start + 5*Second - Millisecond/2, Snaps: true,
	})
	for _, at := range []struct {
		angle string
		timed bool
	}{{"endzone", true}, {"sideline", false}} {
		if got := g.Plays[0].Timed(at.angle); got != at.timed {
			t.Errorf("the play says when it is on the %s: %v", at.angle, got)
		}
	}
	for film, want := range map[string]string{
		"{file: a, drift: 5}":                "x.game.yaml:1:65: film sl has a drift but no offset that grows by it",
		"{file: a, offset: 1s, drift: 1001}": `x.game.yaml:1:77: "1001" is not a whole number from -1000 to 1000`,
		"{file: a, offset: 1s, drift: 0.5}":  `x.game.yaml:1:77: "0.5" is not a whole number from -1000 to 1000`,
	} {
		_, faults := ParseGame("x.game.yaml", []byte("{trenchcut: 1, game: {id: x}, film: {ez: , sl: "+film+"}}"), vocabulary(t))
		if faults.Error() != want {
			t.Errorf("%s: faults are %v, want %s", film, faults, want)
		}
	}
}

// A clip's time is its own, so film in step with its angle does not show the play.
func TestClipIsInStepWithNothing(t *testing.T) {
	g, faults := ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
film: {endzone: , sideline: {file: /f/sl.mp4, offset: 5s}}
plays: [{play: 1, angles: {endzone: {file: /f/1.mp4}}}]
`), vocabulary(t))
	if faults != nil {
		t.Fatal(faults)
	}
	wantAngles(t, g.Plays[0], "endzone")
	if v, err := g.Plays[0].View("sideline"); err == nil {
		t.Errorf("the play is seen on the sideline as %+v", v)
	}
}

// A number alone is one of ours; an opponent who wears it is another man.
func TestNumbersAreOurs(t *testing.T) {
	g, faults := parseText(t, "  - {play: 1, in: 1s, out: 9s, reps: [72 won, q72 won]}\n")
	if want := `x.game.yaml:9:39: rusher "72" is no number or name of ours; it is #72 (q72): write the id if he is meant`; faults.Error() != want {
		t.Errorf("faults are\n%v\nwant\n%s", faults, want)
	}
	if got := g.Plays[0].Reps[1].Rusher; got != g.People["q72"] {
		t.Errorf("q72 is %+v", got)
	}
}

// A person is named by id, number or name wherever a person stands: a rusher is one of us,
// and everybody else one of them.
func TestWhoIsNamed(t *testing.T) {
	const people = `trenchcut: 1
game: {id: x, us: Cedar Hollow%s}
film: {endzone: {file: /f/ez.mp4}}
people:
  oke: {name: Sol Oke, team: us, jersey: 91}
  tau: {name: Tāvita Oʻke-Lolo, team: Cedar Hollow, jersey: 9}
  ray: {name: Ray Oke, team: us, jersey: "09"}
  ours72: {name: Al Bell, team: us, jersey: 72}
  q72: {name: Bo Bell, team: Quarry Tech, jersey: 72, pos: LT}
  q7: {name: Sol Ames, team: Quarry Tech, jersey: 7, pos: QB}
  q8: {jersey: 8}
plays:
  - {play: 1, in: 1s, out: 9s, qb: %s, reps: [{rusher: %s, blocker: {who: %s}, battle: won}]}
`
	for _, test := range []struct{ game, passer, rusher, blocker, want string }{
		{"", "7", "91", "72", "q7 oke q72"},
		{"", "Sol Ames", "'#91'", "Bo Bell", "q7 oke q72"},
		{"", "ames", "sol oke", "bell", "q7 oke q72"},
		{"", "8", "09", "'#72'", "q8 ray q72"},
		{"", "q7", "Tavita Oke-Lolo", "q72", "q7 tau q72"},
		{"", "q7", "lolo", "q72", "q7 tau q72"},
		{"", "q7", "q72", "ours72", "q7 q72 ours72"},
		{", kind: practice", "7", "91", "9", "q7 oke tau"},
		{"", "q7", "oke", "9", `blocker "9" is no number or name of theirs; it is #9 Tāvita Oʻke-Lolo (tau): write the id if he is meant`},
		{", kind: practice", "q7", "bell", "oke", `rusher "bell" is both #72 Al Bell (ours72) and #72 Bo Bell (q72): write the id`},
		{"", "q7", "sol o", "q72", `rusher "sol o" is no id, number or name of the game's people; want one of 09, 72, 9, 91, oke, ours72, q7, q72, q8, ray, tau`},
	} {
		text := fmt.Sprintf(people, test.game, test.passer, test.rusher, test.blocker)
		g, faults := ParseGame("x.game.yaml", []byte(text), vocabulary(t))
		if faults != nil {
			if got := faults[0].What + "; " + faults[0].Hint; len(faults) != 1 || strings.TrimSuffix(got, "; ") != test.want {
				t.Errorf("%s, %s, %s has faults\n%v\nwant\n%s", test.passer, test.rusher, test.blocker, faults, test.want)
			}
			continue
		}
		p := g.Plays[0]
		if got := p.Passer.ID + " " + p.Reps[0].Rusher.ID + " " + p.Reps[0].Blocker.ID; got != test.want {
			t.Errorf("%s, %s, %s are %s, want %s", test.passer, test.rusher, test.blocker, got, test.want)
		}
	}
}

// A number with a point is a mark's seconds from the snap; one without may be seconds or
// frames, and a large one is a time on the film: both are refused, and the message shows how
// each is written.
func TestMarksWithoutUnit(t *testing.T) {
	const rep = "  - {play: 1, in: 1s, out: 9s, reps: [{rusher: oke, battle: won, marks: {%s}}]}\n"
	for text, want := range map[string]Time{
		"getoff: 0.2": 200 * Millisecond, "getoff: +0.2": 200 * Millisecond, "getoff: -0.25": -250 * Millisecond,
		"getoff: '0.2'": 200 * Millisecond, "getoff: 15.5": 15_500 * Millisecond, "getoff: 00.20": 200 * Millisecond,
	} {
		g, faults := parseText(t, fmt.Sprintf(rep, text))
		if faults != nil {
			t.Errorf("%s has faults\n%v", text, faults)
			continue
		}
		if got, ok := g.Plays[0].Reps[0].Since(Getoff); !ok || got != want {
			t.Errorf("%s is %v, %t, want %v", text, got, ok, want)
		}
	}
	for text, want := range map[string]string{
		"getoff: 2":     `getoff: "+2" has no unit: want +2s for seconds or +f2 for frames`,
		"getoff: -2":    `getoff: "-2" has no unit: want -2s for seconds or -f2 for frames`,
		"getoff: 485.2": `getoff: "485.2" has no unit: want 485.2s for seconds`,
		"getoff: 1.":    `getoff: "1." is not a time`,
	} {
		if _, faults := parseText(t, fmt.Sprintf(rep, text)); len(faults) != 1 || !strings.HasPrefix(faults[0].What, want) {
			t.Errorf("%s has faults\n%v\nwant\n%s", text, faults, want)
		}
	}
	if _, faults := parseText(t, "  - {play: 1, in: 1.5, out: 9s, marks: {snap: 5.0}}\n"); len(faults) != 2 {
		t.Errorf("times on film without a unit have faults\n%v", faults)
	}
}

// The one-line form and the long form of one rep are one rep.
func TestShortRepIsLongRep(t *testing.T) {
	for short, long := range map[string]string{
		"91 9 long-arm>up-and-under short sack":        "{rusher: oke, align: 9, move: [long-arm, up-and-under], blocker: {set: short}, outcome: sack}",
		"oke sack":                                     "{rusher: oke, outcome: sack}",
		"9 7 left bull lost":                           "{rusher: bryn, align: 7, side: left, move: [bull], battle: lost}",
		"9 6i bull-rush lost":                          "{rusher: bryn, align: 7, move: bull, battle: lost}",
		"oke 2i run-fit reach won stop":                "{rusher: oke, align: 2i, job: run-fit, blocker: {block: reach}, battle: won, outcome: stop}",
		"oke twist penetrator swipe/through none even": "{rusher: oke, stunt: tackle-end, job: penetrator, move: [swipe/through], help: none, battle: stalemate}",
	} {
		g, faults := parseText(t, "  - {play: 1, in: 1s, out: 9s, reps: ["+short+"]}\n  - {play: 2, in: 1s, out: 9s, reps: ["+long+"]}\n")
		if faults != nil {
			t.Errorf("%s: %v", short, faults)
			continue
		}
		a, b := *g.Plays[0].Reps[0], *g.Plays[1].Reps[0]
		a.Play, b.Play, a.Pos, b.Pos = nil, nil, Pos{}, Pos{}
		if diff := cmp.Diff(b, a, cmp.AllowUnexported(Rep{}, Marks{}, Person{}, identity{})); diff != "" {
			t.Errorf("%s: %s", short, diff)
		}
	}
}

func TestJobThatIsNotSaid(t *testing.T) {
	g, faults := parseText(t, `  - {play: 1, type: run, in: 1s, out: 9s, reps: [oke stop, 9 spy won]}
  - {play: 2, type: dropback, in: 1s, out: 9s, reps: [oke won]}
`)
	if faults != nil {
		t.Fatal(faults)
	}
	for i, want := range []string{"run-fit", "spy", "rush"} {
		r := append(g.Plays[0].Reps, g.Plays[1].Reps...)[i]
		if r.Job != want {
			t.Errorf("rep %s has job %s, want %s", r.Name(), r.Job, want)
		}
	}
}

// One anchor and its alias are the same text; only aliases to more than that are refused.
func TestAliases(t *testing.T) {
	g, faults := parseText(t, `  - {play: 1, in: &in 1s, out: 9s, call: &rep oke bull won, hash: &h left, reps: [*rep]}
  - {play: 2, in: *in, out: 8s, hash: *h, reps: [{rusher: oke, battle: won, move: &m bull>spin}, {rusher: bryn, battle: won, move: *m}]}
`)
	if faults != nil {
		t.Fatal(faults)
	}
	if p := g.Plays[1]; p.Hash != "left" || p.Reps[1].Sequence() != "bull>spin" || g.Plays[0].Reps[0].Sequence() != "bull" {
		t.Errorf("aliases read as %+v", p)
	}
}

func TestVocabulary(t *testing.T) {
	v := vocabulary(t)
	if v.Limit != 2500*Millisecond { // beaten in time: within 2.5 s of the snap (publicly explained definition)
		t.Errorf("limit is %s, want 2.5 s", v.Limit)
	}
	for _, c := range [][3]string{{"stunt", "twist", "tackle-end"}, {"align", "6i", "7"}, {"align", "2i", "2i"}, {"move", "bull-rush", "bull"}} {
		if w, ok := v.List(c[0]).Find(c[1]); !ok || w.Name != c[2] {
			t.Errorf("%s %s is %q, want %q", c[0], c[1], w.Name, c[2])
		}
	}
	align := v.List("align")
	order := []string{"0", "1", "2i", "2", "3", "4i", "4", "5", "wide-5", "7", "6", "9", "wide-9"}
	for i, name := range order {
		if got := align.Rank(name); got != i {
			t.Errorf("align %s ranks %d, want %d", name, got, i)
		}
	}
	if got, want := align.Rank("6i"), align.Rank("7"); got != want {
		t.Errorf("6i ranks %d, want %d as 7 does", got, want)
	}
	if got := align.Rank("no such"); got != len(align.Words) {
		t.Errorf("an unknown word ranks %d, want last", got)
	}
	if _, ok := v.List("no such").Find("x"); ok {
		t.Error("a list there is not has a word")
	}
	if got := v.Label("outcome", "strip-sack"); got != "strip sack" {
		t.Errorf("strip-sack is shown as %q", got)
	}
	// Every key that holds a word must have its list, or every word of it is a fault.
	for _, key := range []string{
		"kind", "field", "type", "hash", "protection", "unit", "job", "align", "side", "stance", "gap", "path", "move", "set", "hands", "lean",
		"block", "help", "stunt", "called", "saw", "battle", "outcome", "credit", "how", "contain", "penalty", "grade", "taken",
	} {
		if len(v.List(key).Words) == 0 {
			t.Errorf("the vocabulary has no words for %s", key)
		}
	}
	for _, w := range v.List("move").Words {
		if w.Family == "" || w.Path == "" {
			t.Errorf("move %s has family %q and path %q", w.Name, w.Family, w.Path)
		}
	}
	// Common practice, as the design has it.
	var pressure []string
	for _, w := range v.List("outcome").Words {
		if w.Pressure == "yes" {
			pressure = append(pressure, w.Name)
		}
	}
	if got, want := fmt.Sprint(pressure), "[strip-sack sack hit hurry flush]"; got != want {
		t.Errorf("as pressure count %s, want %s", got, want)
	}
}

func TestStaffVocabulary(t *testing.T) {
	v, err := parseVocabulary("staff.yaml", []byte(`trenchcut: 1
limit: 2.7s
words:
  path: [outside, inside]
  move: [{stab: {also: [poke, jab], path: outside, label: Stab!}}, fade]
choices: {quick-wins: battle=won  time-to-beat<2}
`))
	if err != nil {
		t.Fatal(err)
	}
	if v.Limit != 2700*Millisecond || v.Label("move", "stab") != "Stab!" || v.Label("move", "fade") != "fade" || !cmp.Equal(v.List("move").Names(), []string{"stab", "fade"}) {
		t.Errorf("vocabulary reads as %+v", v)
	}
	if w, ok := v.List("move").Find("jab"); !ok || w.Name != "stab" || w.Path != "outside" {
		t.Errorf("jab is %+v", w)
	}
	if got := v.Choices["quick-wins"]; len(got.Terms) != 2 || got.String() != "battle=won time-to-beat<2" {
		t.Errorf("the choice reads as %q", got)
	}
}
