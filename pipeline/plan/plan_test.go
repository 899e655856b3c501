package plan_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

const head = `trenchcut: 1
game: {id: wk1-harbor, date: 2026-09-05, us: Cedar Hollow, opponent: Harbor State}
film:
  sideline: {file: side.mp4}
  endzone: {file: end.mp4}
people:
  marlow: {name: Teo Marlow, team: us, jersey: 91}
  okafor: {name: Ike Okafor, team: us, jersey: 55}
plays:
`

// season reads plays of one game whose sideline film runs at 30 and whose end zone film
// runs at 25 frames a second, 100 s each.
func season(t *testing.T, plays string) (*tags.Season, map[string]plan.Source) {
	t.Helper()
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	game, faults := tags.ParseGame("/season/wk1.game.yaml", []byte(head+plays), vocabulary)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	films := map[string]plan.Source{
		"/season/side.mp4": {Fingerprint: "side", Rate: tags.Rate{Num: 30, Den: 1}, Frames: 3000, Width: 1280, Height: 720},
		"/season/end.mp4":  {Fingerprint: "end", Rate: tags.Rate{Num: 25, Den: 1}, Frames: 2500, Width: 1280, Height: 720},
	}
	for file, s := range films {
		game.SetClock(file, s.Clock())
	}
	return &tags.Season{Games: []*tags.Game{game}, Vocabulary: vocabulary}, films
}

func recipe(t *testing.T) plan.Recipe {
	t.Helper()
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Title = "Test"
	return r
}

// build plans every play, and every rep that keep names; nil keeps all.
func build(t *testing.T, plays string, change func(*plan.Recipe), keep func(*tags.Rep) bool) *plan.Plan {
	t.Helper()
	s, films := season(t, plays)
	r := recipe(t)
	if change != nil {
		change(&r)
	}
	var reps []*tags.Rep
	for _, rep := range s.Reps() {
		if keep == nil || keep(rep) {
			reps = append(reps, rep)
		}
	}
	p, err := plan.Build(s, plan.Choice{Asked: "everything", Plays: s.Plays(), Reps: reps}, r, films)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// chapters is what p shows, without its slates: "chapter in–out", in source frames.
func chapters(p *plan.Plan) []string {
	var list []string
	for _, e := range p.Entries[1 : len(p.Entries)-1] {
		list = append(list, fmt.Sprintf("%s %d–%d", e.Chapter, e.Segment.Span.In, e.Segment.Span.Out))
	}
	return list
}

func TestCut(t *testing.T) {
	const sideline = "  - {play: 1, angles: {sideline: {in: 10s, out: 20s%s}}, marks: {%s}}\n"
	for name, c := range map[string]struct {
		snap, marks string
		change      func(*plan.Recipe)
		want        string
	}{
		"three before the snap, one after the finish": {", snap: 15s", "finish: +3s", nil, "360–570"},
		"never before in":              {", snap: 12s", "finish: +3s", nil, "300–480"},
		"never past out":               {", snap: 15s", "finish: +4.5s", nil, "360–600"},
		"beyond in and out when asked": {", snap: 12s", "finish: +7.5s", func(r *plan.Recipe) { r.Beyond = true }, "270–615"},
		"never off the film":           {", snap: 12s", "finish: +3s", func(r *plan.Recipe) { r.Beyond, r.Before = true, 40*tags.Second }, "0–480"},
		"no finish: to out":            {", snap: 15s", "", nil, "360–600"},
		"no snap: from in to out":      {"", "", nil, "300–600"},
		"other lengths":                {", snap: 15s", "finish: +3s", func(r *plan.Recipe) { r.Before, r.After = 2*tags.Second, tags.Second/2 }, "390–555"},
	} {
		t.Run(name, func(t *testing.T) {
			p := build(t, fmt.Sprintf(sideline, c.snap, c.marks), c.change, nil)
			if diff := cmp.Diff([]string{"wk1-harbor-p001 sideline " + c.want}, chapters(p)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

const twoReps = `  - play: 14
    type: dropback
    quarter: 1
    clock: "11:32"
    down: 3
    distance: 8
    angles: {sideline: {in: 10s, out: 20s, snap: 15s}, endzone: {in: 30s, out: 40s, snap: 35s}}
    marks: {finish: +3s}
    reps:
      - {rusher: marlow, align: 9, side: left, move: [long-arm, up-and-under], blocker: {set: short}, battle: won, outcome: sack, marks: {beat: +1.9s}}
      - {rusher: okafor, align: 3, move: [bull], battle: lost, outcome: no-factor, marks: {finish: +3.5s}}
`

// A play is shown once on each angle, end zone first, and names every chosen rep.
func TestPlayIsShownOnce(t *testing.T) {
	p := build(t, twoReps, nil, nil)
	want := []string{"wk1-harbor-p014-91+55 endzone 800–988", "wk1-harbor-p014-91+55 sideline 360–585"}
	if diff := cmp.Diff(want, chapters(p)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"wk1-harbor-p014-91", "wk1-harbor-p014-55"}, p.Entries[1].Reps); diff != "" {
		t.Error(diff)
	}
	// Without the second rep the play ends with its own finish.
	p = build(t, twoReps, nil, func(r *tags.Rep) bool { return r.Rusher.ID == "marlow" })
	if diff := cmp.Diff([]string{"wk1-harbor-p014-91 endzone 800–975", "wk1-harbor-p014-91 sideline 360–570"}, chapters(p)); diff != "" {
		t.Error(diff)
	}
}

func TestAngles(t *testing.T) {
	p := build(t, twoReps, func(r *plan.Recipe) { r.Angles = []string{"sideline"} }, nil)
	if len(p.Entries) != 3 || p.Entries[1].Angle != "sideline" {
		t.Errorf("%q, want the sideline alone", chapters(p))
	}
}

func TestLabels(t *testing.T) {
	before := plan.Label{Lead: "3rd & 8 · Play 14 · Q1 11:32", Lines: []string{"#91 Teo Marlow, 9-technique, left · long arm › up and under · short set", "#55 Ike Okafor, 3-technique · bull"}, Top: true}
	after := plan.Label{Lead: before.Lead, Lines: []string{"#91 Teo Marlow · ▲ won · sack · beat him in 1.9 s", "#55 Ike Okafor · ▼ lost · no factor"}, Top: true}
	brief := plan.Label{Lines: []string{"3rd & 8 · #91 Teo Marlow · #55 Ike Okafor"}, Top: true}
	for name, c := range map[string]struct {
		change func(*plan.Recipe)
		want   []plan.Layer
	}{
		// The house runs at 30; the end zone's clip is 32.0–39.52 s, the finish at 38.5 s.
		"after": {nil, []plan.Layer{
			{Label: &before, Span: tags.Span{In: 0, Out: 90}}, {Label: &brief, Span: tags.Span{In: 90, Out: 196}}, {Label: &after, Span: tags.Span{In: 196, Out: 226}},
		}},
		// Where the reel stops with the play, a picture that is held tells.
		"nothing after": {func(r *plan.Recipe) { r.After = 0 }, []plan.Layer{
			{Label: &before, Span: tags.Span{In: 0, Out: 90}}, {Label: &brief, Span: tags.Span{In: 90, Out: 196}},
		}},
		"before": {func(r *plan.Recipe) { r.Reveal = plan.RevealBefore }, []plan.Layer{
			{Label: &after, Span: tags.Span{In: 0, Out: 90}}, {Label: &brief, Span: tags.Span{In: 90, Out: 196}}, {Label: &after, Span: tags.Span{In: 196, Out: 226}},
		}},
	} {
		t.Run(name, func(t *testing.T) {
			p := build(t, twoReps, c.change, nil)
			labels := slices.DeleteFunc(p.Entries[1].Segment.Layers, func(l plan.Layer) bool { return l.Label == nil })
			if diff := cmp.Diff(c.want, labels); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// What people wrote reaches the label letter by letter.
func TestLabelKeepsEveryLetter(t *testing.T) {
	name := `Kaʻahumanu "Hut": 100% O\Brien, d'Été & Ñúñez-Žďárský-Đặng IV`
	plays := strings.Replace(twoReps, "      - {rusher: okafor", "      - {rusher: okafor", 1)
	s, films := season(t, plays)
	s.Games[0].People["marlow"].Name = name
	p, err := plan.Build(s, plan.Choice{Plays: s.Plays(), Reps: s.Reps()}, recipe(t), films)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Entries[1].Segment.Layers[0].Label.Lines[0]; !strings.Contains(got, name) {
		t.Errorf("label %q, want it to hold %q", got, name)
	}
}

// With no rep the play itself is told, and its slate claims no rate.
func TestPlaysWithoutReps(t *testing.T) {
	p := build(t, "  - {play: 3, type: run, down: 1, distance: 10, call: stretch, angles: {sideline: {in: 1s, out: 5s}}}\n", nil, nil)
	want := []plan.Layer{
		{Label: &plan.Label{Lead: "1st & 10 · Play 3", Lines: []string{"run · stretch"}, Top: true}, Span: tags.Span{In: 0, Out: 90}},
		{Label: &plan.Label{Lines: []string{"1st & 10"}, Top: true}, Span: tags.Span{In: 90, Out: 120}},
	}
	if diff := cmp.Diff(want, p.Entries[1].Segment.Layers); diff != "" {
		t.Error(diff)
	}
	closing := p.Entries[2].Segment.Card
	if len(closing.Shares) != 0 || closing.Lines[0] != "1 play, 1 game" {
		t.Errorf("closing slate %+v", closing)
	}
}

// The closing slate's numbers are of the reps shown: a rep that no film shows is not
// among them.
func TestClosingSlateCountsWhatIsShown(t *testing.T) {
	plays := twoReps + `  - play: 15
    type: dropback
    angles: {sideline: {in: 99s, out: 99.9s}}
    reps: ["91 9 spin short lost no-factor"]
  - play: 16
    type: dropback
    reps: ["91 9 spin short won sack"]
`
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	_, films := season(t, twoReps)
	game, _ := tags.ParseGame("/season/wk1.game.yaml", []byte(head+plays), vocabulary)
	for file, s := range films {
		game.SetClock(file, s.Clock())
	}
	s := &tags.Season{Games: []*tags.Game{game}, Vocabulary: vocabulary}
	p, err := plan.Build(s, plan.Choice{Plays: s.Plays(), Reps: s.Reps()}, recipe(t), films)
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"wk1-harbor-p016: it is not on the angles asked for"}; !cmp.Equal(want, p.LeftOut) {
		t.Errorf("left out %q, want %q", p.LeftOut, want)
	}
	closing := p.Entries[len(p.Entries)-1].Segment.Card
	if closing.Lines[0] != "3 reps on 2 plays, 1 game" {
		t.Errorf("closing slate says %q", closing.Lines[0])
	}
	if won := closing.Shares[0]; won.Name != "won" || won.K != 1 || won.N != 3 || won.Bar {
		t.Errorf("closing slate's first share %+v, want won 1 of 3 without a bar", won)
	}
	if !strings.Contains(closing.Caution, "concussion") {
		t.Errorf("the caution is %q", closing.Caution)
	}
}

func TestOrder(t *testing.T) {
	plays := ""
	for i, p := range []struct{ situation, rep string }{
		{"down: 3, distance: 9, quarter: 2, clock: \"1:10\"", "battle: lost, outcome: no-factor"},
		{"down: 1, distance: 10", "battle: won, outcome: hurry, marks: {beat: +2.5s}"},
		{"down: 3, distance: 2, quarter: 2, clock: \"0:58\"", "battle: won, outcome: strip-sack, marks: {beat: +2.9s}"},
		{"quarter: 4", "battle: won, outcome: hit, marks: {beat: +1.9s}"},
	} {
		plays += fmt.Sprintf("  - {play: %d, %s, angles: {sideline: {in: 10s, out: 20s, snap: 12s}}, reps: [{rusher: marlow, %s}]}\n", i+1, p.situation, p.rep)
	}
	for order, want := range map[plan.Order][]int{
		plan.ByFilm:       {1, 2, 3, 4},
		plan.ByOutcome:    {3, 4, 2, 1},
		plan.ByTimeToBeat: {4, 2, 3, 1},
		plan.ByDown:       {2, 3, 1, 4},
		plan.ByStakes:     {3, 1, 2, 4},
	} {
		p := build(t, plays, func(r *plan.Recipe) { r.Order = []plan.Order{order} }, nil)
		var got []int
		for _, e := range p.Entries[1 : len(p.Entries)-1] {
			got = append(got, e.Play)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("order %s: %s", order, diff)
		}
	}
}

func TestNothingToShow(t *testing.T) {
	s, films := season(t, twoReps)
	r := recipe(t)
	r.Angles = []string{"tower"}
	_, err := plan.Build(s, plan.Choice{Plays: s.Plays()}, r, films)
	if !errors.Is(err, plan.ErrNothing) {
		t.Errorf("error %v, want ErrNothing", err)
	}
}

// The whole plan is pure data: the same choice makes the same digest, and another title,
// another look or another ffmpeg another one.
func TestDigest(t *testing.T) {
	digest := func(change func(*plan.Recipe), toolchain string) string {
		d, err := build(t, twoReps, change, nil).Digest(toolchain)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	first := digest(nil, "ffmpeg 5")
	if again := digest(nil, "ffmpeg 5"); again != first {
		t.Errorf("digests %s and %s of one plan", first, again)
	}
	for name, other := range map[string]string{
		"title":     digest(func(r *plan.Recipe) { r.Title = "Other" }, "ffmpeg 5"),
		"look":      digest(func(r *plan.Recipe) { r.Look.Ink = "#ffffff" }, "ffmpeg 5"),
		"mute":      digest(func(r *plan.Recipe) { r.Mute = true }, "ffmpeg 5"),
		"toolchain": digest(nil, "ffmpeg 6"),
	} {
		if other == first {
			t.Errorf("another %s, the same digest", name)
		}
	}
}

const fourReps = `  - {play: 1, type: dropback, angles: {sideline: {in: 1s, out: 4s}}, reps: [{rusher: marlow, align: 9, move: [spin], blocker: {set: short}, battle: won, outcome: hurry}]}
  - {play: 2, type: dropback, angles: {sideline: {in: 11s, out: 14s}}, reps: [{rusher: marlow, align: 9, move: [spin], blocker: {set: short}, battle: lost}]}
  - {play: 3, type: dropback, angles: {sideline: {in: 21s, out: 24s}}, reps: [{rusher: okafor, align: 9, move: [bull], blocker: {set: short}, battle: won, outcome: sack}]}
  - {play: 4, type: dropback, angles: {sideline: {in: 31s, out: 34s}}, reps: [{rusher: okafor, align: 5, move: [dip], blocker: {set: vertical}, battle: lost, point: Hands first.}]}
`

// parts is the sections of a recipe, each with the reps that keep names.
func parts(s *tags.Season, r plan.Recipe, keep ...func(*tags.Rep) bool) []plan.Part {
	var list []plan.Part
	for i, section := range r.Parts() {
		p := plan.Part{Section: section, Choice: plan.Choice{Asked: fmt.Sprintf("part %d", i+1)}}
		for _, rep := range s.Reps() {
			if keep[i](rep) {
				p.Reps = append(p.Reps, rep)
				p.Plays = append(p.Plays, rep.Play)
			}
		}
		list = append(list, p)
	}
	return list
}

func won(r *tags.Rep) bool  { return r.Battle == "won" }
func lost(r *tags.Rep) bool { return r.Battle == "lost" }

// Each section stands behind a slate with its own numbers, an empty one is said and left
// out, and the closing slate counts each rep once.
func TestSections(t *testing.T) {
	s, films := season(t, fourReps)
	r, err := plan.ParseRecipe("x.reel.yaml", []byte("trenchcut: 1\norder: film\nsections:\n  - {title: All}\n  - {title: Nobody}\n  - {title: Best, order: outcome, limit: 1}\n"), recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.BuildParts(s, parts(s, r, func(*tags.Rep) bool { return true }, func(*tags.Rep) bool { return false }, won), "everything", r, films)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range p.Entries {
		got = append(got, e.Chapter)
	}
	want := []string{
		"Title", "All", "wk1-harbor-p001-91 sideline", "wk1-harbor-p002-91 sideline", "wk1-harbor-p003-55 sideline", "wk1-harbor-p004-55 sideline",
		"Best", "wk1-harbor-p003-55 sideline", "Numbers",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if want := []string{`section "Nobody": it has nothing to show`}; !cmp.Equal(want, p.LeftOut) {
		t.Errorf("left out %q, want %q", p.LeftOut, want)
	}
	all, best, closing := p.Entries[1].Segment.Card, p.Entries[6].Segment.Card, p.Entries[8].Segment.Card
	if won := all.Shares[0]; won.K != 2 || won.N != 4 {
		t.Errorf("the first section's numbers are %+v, want won 2 of 4", all.Shares)
	}
	// The best of something is chosen by how it ended: no rate can be told of it, nor of all.
	if len(best.Shares)+len(closing.Shares) > 0 || !strings.Contains(strings.Join(closing.Lines, " "), "no rate") {
		t.Errorf("rates of what was chosen by its end: %+v, %+v", best, closing)
	}
	if closing.Lines[0] != "4 reps on 4 plays, 1 game" {
		t.Errorf("the closing slate says %q", closing.Lines)
	}
}

// A loss is followed by the win most like it, which carries the reasons and no point; one
// that no win is like is said to have none.
func TestModelReps(t *testing.T) {
	s, films := season(t, fourReps)
	r := recipe(t)
	r.Model = true
	p, err := plan.BuildParts(s, parts(s, r, lost), "losses", r, films)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"wk1-harbor-p002-91 sideline 330–420", "wk1-harbor-p001-91 sideline model 30–120", "wk1-harbor-p004-55 sideline 930–1020"}, chapters(p)); diff != "" {
		t.Error(diff)
	}
	label := p.Entries[2].Segment.Layers[0].Label
	if label == nil || label.Lead != plan.LikeThis || !strings.HasPrefix(label.Lines[1], "same move · same set · same alignment") {
		t.Errorf("the model's first label is %+v", label)
	}
	if want := []string{"the model of wk1-harbor-p004-55: no win is enough like it"}; !cmp.Equal(want, p.LeftOut) {
		t.Errorf("left out %q, want %q", p.LeftOut, want)
	}
}

// The staff's own choice of a model goes before any likeness; one that is not there is said.
func TestChosenModel(t *testing.T) {
	for model, want := range map[string]string{
		"wk1-harbor-p003-55": "wk1-harbor-p003-55 sideline model",
		"wk1-harbor-p009-55": "the model of wk1-harbor-p004-55: wk1-harbor-p009-55 is not among the games, or is left out",
	} {
		s, films := season(t, strings.Replace(fourReps, "point: Hands first.", "point: Hands first., model: "+model, 1))
		r := recipe(t)
		r.Model = true
		p, err := plan.BuildParts(s, parts(s, r, func(r *tags.Rep) bool { return r.Play.Number == 4 }), "loss", r, films)
		if err != nil {
			t.Fatal(err)
		}
		said := slices.Clone(p.LeftOut)
		for _, e := range p.Entries {
			said = append(said, e.Chapter)
		}
		if !slices.Contains(said, want) {
			t.Errorf("model %s: %q, want %q among it", model, said, want)
		}
	}
}

// Varied, a limit leaves out a move's second before another's first, and keeps the order.
func TestLimitAndVary(t *testing.T) {
	s, films := season(t, fourReps)
	for _, c := range []struct {
		vary []plan.Trait
		want string
	}{{nil, "1 2"}, {[]plan.Trait{plan.TraitMove}, "1 3"}} {
		r := recipe(t)
		r.Limit, r.Vary = 2, c.vary
		p, err := plan.BuildParts(s, parts(s, r, func(*tags.Rep) bool { return true }), "all", r, films)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range p.Entries[1 : len(p.Entries)-1] {
			got = append(got, fmt.Sprint(e.Play))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("vary %v: plays %v, want %s", c.vary, got, c.want)
		}
	}
}

// A title that asks the question is not followed by the question.
func TestTitleIsTheQuestion(t *testing.T) {
	for title, want := range map[string]int{"Everything": 1, "Our week": 2} {
		p := build(t, twoReps, func(r *plan.Recipe) { r.Title = title }, nil)
		if lines := p.Entries[0].Segment.Card.Lines; len(lines) != want {
			t.Errorf("below %q stands %q", title, lines)
		}
	}
}

// A practice has no opponent, and no room knows its id.
func TestPracticeOnSlates(t *testing.T) {
	s, films := season(t, rushes("91 5 spin won"))
	for _, c := range []struct{ opponent, kind, want, count, whose string }{
		{"", "practice", "Practice, Sep 5, 2026", "1 rep on 1 play, 1 practice", "Cedar Hollow"},
		{"Harbor State", "practice", "Harbor State, Sep 5, 2026", "1 rep on 1 play, 1 practice", "Cedar Hollow"},
		{"", "scout", "wk1-harbor, Sep 5, 2026", "1 rep on 1 play, 1 game", ""},
		// Whose game it was is said of one that we did not play.
		{"Harbor State", "scout", "Cedar Hollow against Harbor State, Sep 5, 2026", "1 rep on 1 play, 1 game", ""},
	} {
		s.Games[0].Opponent, s.Games[0].Kind = c.opponent, c.kind
		p, err := plan.Build(s, plan.Choice{Asked: "everything", Plays: s.Plays(), Reps: s.Reps()}, recipe(t), films)
		if err != nil {
			t.Fatal(err)
		}
		card := p.Entries[0].Segment.Card
		if got := card.Small; !slices.Equal(got, []string{c.want}) || !slices.Contains(card.Lines, c.count) || card.Whose != c.whose {
			t.Errorf("a %s against %q: the slate of %q says %q, %q, want %q, %q and %q", c.kind, c.opponent, card.Whose, got, card.Lines, c.whose, c.want, c.count)
		}
	}
}

// Two practices of one day are two: without an opponent nothing says that they are files of one.
func TestCountGames(t *testing.T) {
	s, films := season(t, rushes("91 5 spin won"))
	other, faults := tags.ParseGame("/season/pm.game.yaml", []byte(strings.Replace(head, "id: wk1-harbor", "id: pm", 1)+rushes("91 5 spin won")), s.Vocabulary)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	other.SetClock("/season/side.mp4", films["/season/side.mp4"].Clock())
	s.Games = append(s.Games, other)
	for _, c := range []struct{ first, second, opponent, want string }{
		{"practice", "practice", "", "2 practices"},
		{"game", "practice", "", "1 game and 1 practice"},
		{"game", "game", "", "2 games"},
		{"game", "game", "Harbor State", "1 game"}, // two files of it
	} {
		s.Games[0].Kind, s.Games[1].Kind = c.first, c.second
		s.Games[0].Opponent, s.Games[1].Opponent = c.opponent, c.opponent
		p, err := plan.Build(s, plan.Choice{Asked: "everything", Plays: s.Plays(), Reps: s.Reps()}, recipe(t), films)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := p.Entries[0].Segment.Card.Lines, "2 reps on 2 plays, "+c.want; !slices.Contains(got, want) {
			t.Errorf("%+v: the slate says %q, want %q", c, got, want)
		}
	}
}

// The closing slate says which of the reps that it counts are in no rate, and why.
func TestApartOnTheClosingSlate(t *testing.T) {
	for rep, want := range map[string]string{
		"{rusher: marlow, battle: won, outcome: sack, penalty: offside}": "Won 0 of 1: too few for a rate. Apart: 1 offside.",
		"91 5 spin lost": "Won 0 of 2: too few for a rate.",
	} {
		p := build(t, rushes(rep, "91 5 spin lost"), nil, nil)
		if got := p.Entries[len(p.Entries)-1].Segment.Card.Lines; !slices.Equal(got, []string{"2 reps on 2 plays, 1 game", want}) {
			t.Errorf("%s: the slate says %q, want %q", rep, got, want)
		}
	}
}
