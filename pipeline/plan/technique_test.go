package plan_test

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/templates"
)

// asked plans a recipe as the command does: each section's terms choose for it.
func asked(t *testing.T, plays string, r plan.Recipe, change func(*tags.Season)) (*plan.Plan, error) {
	t.Helper()
	s, films := season(t, plays)
	if change != nil {
		change(s)
	}
	var parts []plan.Part
	for _, section := range r.Parts() {
		part := plan.Part{Section: section}
		if section.Slate == "" {
			q, err := query.Parse(section.Choose, section.Where, s.Vocabulary, s)
			if err != nil {
				t.Fatal(err)
			}
			part.Choice = plan.Choice{Asked: q.String(), ByResult: q.ByResult(), Reps: q.Reps(s).Reps}
			for _, rep := range part.Reps {
				if n := len(part.Plays); n == 0 || part.Plays[n-1] != rep.Play {
					part.Plays = append(part.Plays, rep.Play)
				}
			}
		}
		parts = append(parts, part)
	}
	return plan.BuildParts(s, parts, "what was asked", r, films)
}

// ours is a recipe that comes with the program, with terms of the command line.
func ours(t *testing.T, name string, terms ...string) plan.Recipe {
	t.Helper()
	data, err := templates.FS.ReadFile(name + ".reel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := plan.ParseRecipe(name, data, recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	r.Choose = append(r.Choose, terms...)
	r.Angles = []string{"sideline"}
	return r
}

// rushes is plays of one rep each, 12 s of film a play.
func rushes(reps ...string) string {
	var text strings.Builder
	for i, rep := range reps {
		fmt.Fprintf(&text, "  - {play: %d, type: dropback, angles: {sideline: {in: %ds, out: %ds, snap: %ds}}, marks: {contact: +0.5s, turn: +1s, beat: +1.2s, finish: +2s}, reps: [%s]}\n", i+1, 6*i, 6*i+5, 6*i+2, rep)
	}
	return text.String()
}

// story is what p shows, an item an entry: its chapter without the game, and what of it.
func story(p *plan.Plan) []string {
	var list []string
	for _, e := range p.Entries {
		item := strings.TrimPrefix(e.Chapter, "wk1-harbor-")
		list = append(list, strings.TrimSuffix(strings.Replace(item, " sideline", "", 1), " again"))
	}
	return list
}

// The reel of a technique says what it is, what calls for it, shows what worked and what did
// not and why, and how it is practised; where there is too little of it, that is said.
func TestTeach(t *testing.T) {
	plays := rushes(
		"91 5 spin angle won sack",
		"91 5 spin angle won hurry",
		"55 3 dip>spin vertical won no-factor",
		"91 5 spin short won hurry",
		"55 3 spin vertical lost no-factor",
		"{rusher: okafor, move: [spin], blocker: {set: short}, help: none, battle: lost}",
		"{rusher: marlow, move: [dip, spin], blocker: {set: vertical}, battle: lost, point: Plant first.}",
		"91 5 bull short lost no-factor",
	)
	r := ours(t, "teach", "move=spin")
	p, err := asked(t, plays, r, func(s *tags.Season) {
		list := s.Vocabulary.List("move")
		for i := range list.Words {
			if list.Words[i].Name == "spin" {
				list.Words[i].Drills = []string{"Bag turn."}
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Title", "What calls for it",
		// The best two, and another rusher's before a third of his, in the written order.
		"Done well", "p001-91", "p001-91", "p002-91", "p002-91", "p003-55", "p003-55",
		// The one with a point, its picture held; another rusher's, by the read he missed.
		"Not done well, and why", "p007-91", "p007-91 why", "p006-55", "p006-55 why",
		"Drills", "Numbers",
	}
	if diff := cmp.Diff(want, story(p)); diff != "" {
		t.Error(diff)
	}
	said := map[string]string{}
	for _, e := range p.Entries {
		if e.Shows == plan.ShowsWhy {
			label := e.Segment.Layers[0].Label
			said[strings.TrimPrefix(e.Chapter, "wk1-harbor-")] = label.Lead + "|" + strings.Join(label.Lines, "|")
			if e.Segment.Kind != plan.Film || e.Segment.Span.Len() != 1 {
				t.Errorf("%s stands on no picture of the film: %+v", e.Chapter, e.Segment.Span)
			}
		}
		if c := e.Segment.Card; c != nil {
			said[strings.TrimPrefix(e.Chapter, "wk1-harbor-")] = c.Title + "|" + strings.Join(c.Lines, "|")
		}
	}
	for chapter, words := range map[string][]string{
		"Title":             {"turn tight against him", "5 reps on 5 plays"},
		"What calls for it": {"Overset: He has turned", "QB depth: "},
		"p006-55 why":       {"He sits, so both ways are open; quick hands first.|", "Drill, swipe: "},
		"p007-91 why":       {"Plant first.|", "Drill, spin: Bag turn."},
		"Drills":            {"Bag turn."},
	} {
		for _, w := range words {
			if !strings.Contains(said[chapter], w) {
				t.Errorf("the slate %q says %q, want %q in it", chapter, said[chapter], w)
			}
		}
	}
	if len(p.Few) > 0 || len(p.LeftOut) > 0 {
		t.Errorf("too few: %v; left out: %q", p.Few, p.LeftOut)
	}
}

// A technique of which there is little: nothing stands in for what is not there.
func TestTeachOfLittle(t *testing.T) {
	p, err := asked(t, rushes("91 5 spin angle won sack", "91 5 bull short won sack"), ours(t, "teach", "move=spin"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"Title", "What calls for it", "Done well", "p001-91", "p001-91", "Drills", "Numbers"}, story(p)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]plan.Few{{"Done well", 1, 3}, {"Not done well, and why", 0, 2}}, p.Few); diff != "" {
		t.Error(diff)
	}
	if lines := p.Entries[2].Segment.Card.Lines; lines[len(lines)-1] != "Fewer than the 3 it should be." {
		t.Errorf("the slate says %q", lines)
	}
	for _, want := range []string{`section "Not done well, and why": it has nothing to show`} {
		if !strings.Contains(strings.Join(p.LeftOut, "\n"), want) {
			t.Errorf("left out: %q, want %q among it", p.LeftOut, want)
		}
	}
}

func TestTechniqueAsked(t *testing.T) {
	s, _ := season(t, rushes("91 5 spin angle won sack"))
	for terms, want := range map[string]string{
		"move=spin":            "spin",
		"set=short move=spin":  "spin",
		"move=bull-rush":       "bull", // by another name
		"move=bull,bull-rush":  "bull",
		"":                     "none was named: ask with one term, such as move=bull",
		"family=power":         "none was named",
		"move!=spin":           "none was named",
		"move=spin,rip":        "2 were named, spin and rip",
		"move=spin move=dip":   "2 were named, spin and dip",
		"inside-counter set=x": "none was named",
	} {
		r := plan.Recipe{About: plan.AboutMove}
		r.Choose = strings.Fields(terms)
		w, err := r.Technique(s.Vocabulary)
		var about *plan.AboutError
		switch {
		case err == nil && w.Name != want:
			t.Errorf("%q is about %s, want %s", terms, w.Name, want)
		case err != nil && (!errors.As(err, &about) || !strings.Contains(err.Error(), want)):
			t.Errorf("%q: %v, want %q", terms, err, want)
		}
	}
	if w, err := (plan.Recipe{}).Technique(s.Vocabulary); w != nil || err != nil {
		t.Errorf("a recipe about nothing is about %v (%v)", w, err)
	}
}

// The caution stands on the closing slate of every reel that teaches, in the staff's words,
// and there is no reel without one.
func TestCautionStands(t *testing.T) {
	plays := rushes("91 5 spin angle won sack", "91 5 spin angle lost no-factor")
	names, err := fs.Glob(templates.FS, "*.reel.yaml")
	if err != nil || len(names) < 6 {
		t.Fatalf("recipes %v: %v", names, err)
	}
	for _, name := range names {
		r := ours(t, strings.TrimSuffix(name, ".reel.yaml"), "move=spin")
		for _, own := range []string{"", "Contact is taught by our own coaches."} {
			p, err := asked(t, plays, r, func(s *tags.Season) {
				if own != "" {
					s.Vocabulary.Caution = own
				}
			})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			want := own
			if own == "" {
				want = "concussion"
			}
			if got := p.Entries[len(p.Entries)-1].Segment.Card.Caution; !strings.Contains(got, want) {
				t.Errorf("%s: the caution is %q, want %q", name, got, want)
			}
		}
		for _, blank := range []string{"", " ", "\u00a0\n"} {
			if p, err := asked(t, plays, r, func(s *tags.Season) { s.Vocabulary.Caution = blank }); err == nil {
				t.Errorf("%s: with caution %q there is a reel of %d entries", name, blank, len(p.Entries))
			}
		}
	}
}

func TestSlateFaults(t *testing.T) {
	_, err := plan.ParseRecipe("bad.reel.yaml", []byte(`trenchcut: 1
about: set
sections:
  - {title: a, slate: reads, limit: 3}
  - {title: b, slate: numbers}
  - {title: c, slate: drills}
vary: [rusher, weekday]
same: {points: 2}
least: 0
`), recipe(t))
	for _, want := range []string{
		`bad.reel.yaml:2:8: unknown subject "set"`,
		`bad.reel.yaml:4:5: a section that is a slate shows no plays`,
		`bad.reel.yaml:5:23: unknown slate "numbers"`,
		`bad.reel.yaml:6:5: a slate of drills is of one technique: the recipe wants about: move`,
		`bad.reel.yaml:7:16: unknown trait "weekday"`,
		`bad.reel.yaml:8:8: unknown key "points" in same`,
		`bad.reel.yaml:9:8: `,
	} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no fault %q in:\n%v", want, err)
		}
	}
}
