package plan_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/invent"
	"trenchcut/tags/query"
	"trenchcut/templates"
)

// told is what the picture that says what to do tells, by the chapter's rep.
func told(p *plan.Plan) map[string]plan.Label {
	said := map[string]plan.Label{}
	for _, e := range p.Entries {
		if e.Shows != plan.ShowsWhy {
			continue
		}
		for _, l := range e.Segment.Layers {
			if l.Label != nil {
				said[e.Reps[0]] = *l.Label
			}
		}
	}
	return said
}

// What to do about a loss: the coach's point, else the note where the reel is the player's,
// else what was there and was not taken, else what to fix in the move; and how it is
// practised. What the coach has written the program does not speak over.
func TestCorrection(t *testing.T) {
	const short = ", blocker: {set: short}, help: none, battle: lost"
	for _, c := range []struct{ rep, whose, lead, drill string }{
		{"{rusher: marlow, move: [bull]" + short + ", point: Hands first.}", "marlow", "Hands first.", "Drill, bull: "},
		{"{rusher: marlow, move: [bull]" + short + ", point: Hands first., note: Slow.}", "marlow", "Hands first.", "Drill, bull: "},
		{"{rusher: marlow, move: [bull]" + short + ", note: Slow.}", "marlow", "Slow.", "Drill, bull: "},
		{"{rusher: marlow, move: [bull]" + short + ", note: Slow.}", "", "", ""}, // it is for him alone
		{"{rusher: marlow, move: [bull]" + short + "}", "", "He sits, so both ways are open; quick hands first.", "Drill, swipe: "},
		{"{rusher: marlow, move: [dip, spin], blocker: {set: short}, battle: lost}", "", "Fix: Be beside him before you turn; ", "Drill, spin: "},
		{"{rusher: marlow, move: [swipe, spin]" + short + "}", "", "Fix: Be beside him before you turn; ", "Drill, spin: "},
		{"{rusher: marlow, move: [bull]" + short + ", help: double}", "", "", ""}, // replaced below
		{"{rusher: marlow, battle: lost}", "", "", ""},                            // nothing is known
	} {
		rep := c.rep
		if strings.HasSuffix(rep, "help: double}") {
			rep = strings.Replace(rep, "help: none, ", "", 1)
			c.lead, c.drill = "Fix: Win the first step", "Drill, bull: "
		}
		p := build(t, rushes(rep), func(r *plan.Recipe) {
			r.Why, r.Whose = true, c.whose
			r.Angles = []string{"sideline"}
		}, nil)
		said := told(p)
		label, ok := said["wk1-harbor-p001-91"]
		text := strings.Join(label.Lines, "|")
		if ok != (c.lead != "") || !strings.HasPrefix(label.Lead, c.lead) || !strings.Contains(text, c.drill) {
			t.Errorf("%s: says %q, %q; want %q and %q", rep, label.Lead, label.Lines, c.lead, c.drill)
		}
	}
}

// What a page repeats of it leaves out who it is alone, where labels do not say that too.
func TestCorrectionSaysAll(t *testing.T) {
	plays := rushes("{rusher: marlow, move: [bull], blocker: {set: short}, help: none, battle: lost}")
	for name, label := range map[string][]plan.Field{"as ever": nil, "the result alone": {"battle"}} {
		p := build(t, plays, func(r *plan.Recipe) { r.Why, r.Label = true, label }, nil)
		for _, e := range p.Entries {
			if e.Shows == plan.ShowsWhy && (len(e.Says) != 2 || !strings.HasPrefix(e.Says[1], "Drill, ")) {
				t.Errorf("%s: says %q, want the read and a drill", name, e.Says)
			}
		}
	}
}

// The picture is the film stopped at the mark that decided it, on the angle that has the
// drawing, and what is drawn there is not shown a second time.
func TestCorrectionStandsOnFilm(t *testing.T) {
	plays := strings.Replace(taught, "battle: won", "battle: lost", 1)
	p := build(t, plays, func(r *plan.Recipe) { r.Why, r.Freeze = true, plan.Freeze{At: tags.Turn, Hold: 2 * tags.Second} }, nil)
	want := "play 360–570 ×1/1: 210 frames\nfreeze 540–541 ×1/1: 60 frames\nwhy 486–487 ×1/1: 240 frames\n"
	if got := shown(p); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	why := p.Entries[len(p.Entries)-2].Segment
	if drawn := layers(why, func(l plan.Layer) bool { return l.Drawing != nil }); len(drawn) != 1 {
		t.Errorf("%d drawings on it, want one", len(drawn))
	}
}

// None is a model twice while there is another, which is said where there is none; none is of
// a play just shown, and the win that ends a reel is one not seen yet, where there is one.
func TestModelsOfAReel(t *testing.T) {
	loss, win := "91 5 bull angle lost", "91 5 bull angle won"
	for name, c := range map[string]struct {
		reps []string
		want string // losses and models
	}{
		"each its own":           {[]string{loss, loss, win, win}, "p001 p003 model p002 p004 model"},
		"again where no other":   {[]string{loss, "91 5 rip angle lost", loss, win}, "p001 p004 model p002 p003 p004 model again"},
		"not one just shown":     {[]string{loss, loss, win}, "p001 p003 model p002"},
		"not of the play before": {[]string{"91 5 bull angle lost, 55 5 bull angle won", loss}, "p001 p002"},
	} {
		p := build(t, rushes(c.reps...), func(r *plan.Recipe) {
			r.Model = true
			r.Angles = []string{"sideline"}
		}, func(r *tags.Rep) bool { return r.Battle == "lost" })
		var got []string
		for _, e := range p.Entries {
			if !e.Clip() || e.Shows == plan.ShowsPlay && strings.HasPrefix(c.reps[e.Play-1], win) {
				continue
			}
			item := fmt.Sprintf("p%03d", e.Play)
			if e.Shows == plan.ShowsModel {
				item += " model"
				if strings.Contains(strings.Join(e.Segment.Layers[0].Label.Lines, " "), "shown before in this reel") {
					item += " again"
				}
			}
			got = append(got, item)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: %q, want %q", name, strings.Join(got, " "), c.want)
		}
	}
}

// demoSeason is the demo's tag files, with film of twice 200 s that is not there.
func demoSeason(t *testing.T) (*tags.Season, map[string]plan.Source) {
	t.Helper()
	dir := t.TempDir()
	names, err := fs.Glob(templates.FS, "demo/*.game.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	var files []string
	for _, name := range names {
		data, err := templates.FS.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, filepath.Base(name))
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	return loaded(t, files)
}

// loaded is a season with film of every angle, an hour long, which is not there.
func loaded(t *testing.T, files []string) (*tags.Season, map[string]plan.Source) {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	films := map[string]plan.Source{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		g, faults := tags.ParseGame(file, data, v)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		for _, p := range g.Plays {
			for _, angle := range p.Angles() {
				view, err := p.View(angle)
				if err != nil {
					continue
				}
				src := plan.Source{Fingerprint: view.File, Rate: tags.Rate{Num: 30, Den: 1}, Frames: 30 * 3600, Width: 1280, Height: 720}
				films[view.File] = src
			}
		}
		for file, src := range films {
			g.SetClock(file, src.Clock())
		}
		s.Games = append(s.Games, g)
	}
	return s, films
}

// reelOf is the plan of a recipe that comes with the program over a season, with the terms of
// the command line, or nil where it shows nothing.
func reelOf(t *testing.T, s *tags.Season, films map[string]plan.Source, name, whose string) *plan.Plan {
	t.Helper()
	data, err := templates.FS.ReadFile(name + ".reel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := plan.ParseRecipe(name, data, recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	if whose != "" {
		r.Whose, r.Choose = whose, append(r.Choose, "rusher="+whose)
	}
	var parts []plan.Part
	for _, section := range r.Parts() {
		q, err := query.Parse(section.Choose, section.Where, s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		part := plan.Part{Section: section, Choice: plan.Choice{ByResult: q.ByResult(), Reps: q.Reps(s).Reps}}
		for _, rep := range part.Reps {
			if n := len(part.Plays); n == 0 || part.Plays[n-1] != rep.Play {
				part.Plays = append(part.Plays, rep.Play)
			}
		}
		parts = append(parts, part)
	}
	p, err := plan.BuildParts(s, parts, "", r, films)
	if err != nil {
		return nil
	}
	return p
}

// rushersOf is who rushed in a season.
func rushersOf(s *tags.Season) []string {
	var ids []string
	for _, r := range s.Reps() {
		if !slices.Contains(ids, r.Rusher.ID) {
			ids = append(ids, r.Rusher.ID)
		}
	}
	return ids
}

// Over the demo and invented seasons: no rep is won and missed, no slate speaks over a point,
// no model is one that the program itself faults, and none of a ball that was out is corrected.
func TestReadsNeverArgueWithTheFilm(t *testing.T) {
	type trial struct {
		s     *tags.Season
		films map[string]plan.Source
	}
	s, films := demoSeason(t)
	trials := []trial{{s, films}}
	for seed := uint64(1); seed <= 3; seed++ {
		files, err := invent.Season(t.TempDir(), seed, 2, 300)
		if err != nil {
			t.Fatal(err)
		}
		s, films := loaded(t, files)
		for _, r := range s.Reps() {
			if r.Help == "" { // as a game that says assume: {help: none}
				r.Help = "none"
			}
		}
		trials = append(trials, trial{s, films})
	}
	missed, whys, points, models := 0, 0, 0, 0
	for _, tr := range trials {
		s := tr.s
		reps := map[string]*tags.Rep{}
		registry := query.NewRegistry(s.Vocabulary, s)
		facts := map[string]query.Fact{}
		for _, name := range []string{"read", "read-taken", "read-missed"} {
			facts[name], _ = registry.Find(name)
		}
		list := func(name string, r *tags.Rep) []string {
			value, _ := facts[name].OfRep(r)
			names, _ := value.([]string)
			return names
		}
		for _, r := range s.Reps() {
			reps[r.Name()], reps[plan.Unnamed(r)] = r, r
			if names := list("read-missed", r); len(names) > 0 {
				missed++
				if won, _ := r.Won(); won || r.Coached() && r.Taken != "no" || r.Outcome == "out-too-soon" {
					t.Errorf("%s is said to have missed %q", r.Name(), names)
				}
			}
		}
		reels := []*plan.Plan{reelOf(t, s, tr.films, "meeting", "")}
		for _, id := range rushersOf(s) {
			reels = append(reels, reelOf(t, s, tr.films, "correction", id))
		}
		for _, p := range reels {
			if p == nil {
				continue
			}
			var of *tags.Rep
			for _, e := range p.Entries {
				if e.Segment.Kind != plan.Film {
					continue
				}
				rep := reps[e.Reps[0]]
				switch e.Shows {
				case plan.ShowsWhy:
					whys++
					label := told(&plan.Plan{Entries: []plan.Entry{e}})[e.Reps[0]]
					if rep.Point != "" {
						points++
						if label.Lead != rep.Point || slices.ContainsFunc(s.Vocabulary.Reads, func(rd tags.Read) bool { return slices.Contains(label.Lines, rd.Why) }) {
							t.Errorf("%s: the point is %q, but the picture says %q, %q", rep.Name(), rep.Point, label.Lead, label.Lines)
						}
					}
					if won, _ := rep.Won(); won {
						t.Errorf("%s is won, and corrected", rep.Name())
					}
				case plan.ShowsModel:
					models++
					if won, _ := rep.Won(); !won || rep.Stunt != "" && of.Stunt == "" || rep.Play == of.Play {
						t.Errorf("%s is no model for %s", rep.Name(), of.Name())
					}
					// He went past nothing that the program asks for, but where the coach has the word.
					if of.Coached() {
						break
					}
					if there, taken := list("read", rep), list("read-taken", rep); len(there) != len(taken) {
						t.Errorf("%s is a model for %s, though it took only %q of %q", rep.Name(), of.Name(), taken, there)
					}
					if m := list("read-missed", of); len(m) > 0 && !slices.ContainsFunc(m, func(name string) bool { return slices.Contains(list("read-taken", rep), name) }) {
						t.Errorf("%s is a model for %s, and does not take what that missed, %q", rep.Name(), of.Name(), m)
					}
				case plan.ShowsPlay:
					of = rep
				}
			}
		}
	}
	if missed < 20 || whys < 50 || points < 10 || models < 50 {
		t.Errorf("tried too little: %d missed, %d pictures, %d points, %d models", missed, whys, points, models)
	}
}

// The film carries the story: at most a quarter of a reel of the demo is slates.
func TestSlatesAreAtMostAQuarter(t *testing.T) {
	s, films := demoSeason(t)
	reels := map[string]*plan.Plan{"meeting": reelOf(t, s, films, "meeting", "")}
	for _, id := range rushersOf(s) {
		reels["correction of "+id] = reelOf(t, s, films, "correction", id)
	}
	made := 0
	for name, p := range reels {
		if p == nil {
			continue
		}
		made++
		var slates tags.Frame
		for _, e := range p.Entries {
			if e.Segment.Kind == plan.Slate {
				slates += e.Segment.Frames()
			}
		}
		if 4*slates > p.Frames() {
			t.Errorf("%s: %d of %d frames are slates, %.0f %%", name, slates, p.Frames(), 100*float64(slates)/float64(p.Frames()))
		}
	}
	if made < 6 {
		t.Errorf("only %d reels were made", made)
	}
}

// Every move has something to fix and drills, short enough to stand on a picture.
func TestEveryMoveIsPractised(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range v.List("move").Words {
		if w.Fix == "" || len(w.Drills) == 0 || !w.Common {
			t.Errorf("%s: fix %q, drills %q", w.Name, w.Fix, w.Drills)
		}
		for _, text := range append(w.Drills, w.Fix) {
			if n := len([]rune(text)); n > 100 {
				t.Errorf("%s has %d characters: %s", w.Name, n, text)
			}
		}
	}
}
