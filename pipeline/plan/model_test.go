package plan_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// A model that was just shown is left out, and that is said, whoever chose it.
func TestModelJustShown(t *testing.T) {
	for model, want := range map[string]string{
		"":                            "the model of wk1-harbor-p002-91: each win like it is of a play that was just shown",
		", model: wk1-harbor-p001-91": "the model of wk1-harbor-p002-91: wk1-harbor-p001-91 is of a play that was just shown",
		", model: wk1-harbor-p002-91": "the model of wk1-harbor-p002-91: wk1-harbor-p002-91 is of a play that was just shown",
	} {
		r := recipe(t)
		r.Model = true
		p, err := asked(t, rushes("91 5 spin short won", "{rusher: marlow, align: 5, move: [spin], battle: lost"+model+"}"), r, nil)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff([]string{want}, p.LeftOut); diff != "" {
			t.Errorf("model %q: %s", model, diff)
		}
	}
}

// The model of a scouted game is by no teammate.
func TestModelOfScouted(t *testing.T) {
	r := recipe(t)
	r.Choose, r.Model, r.Angles = []string{"battle=lost"}, true, []string{"sideline"}
	p, err := asked(t, rushes("91 5 spin short lost"), r, func(s *tags.Season) {
		text := strings.Replace(head, "id: wk1-harbor,", "id: sc1, kind: scout,", 1)
		text = strings.Replace(text, "us: Cedar Hollow, opponent: Harbor State", "us: Granite Valley, opponent: Mesa", 1) + rushes("55 5 spin short won")
		game, faults := tags.ParseGame("/season/sc1.game.yaml", []byte(text), s.Vocabulary)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		game.SetClock("/season/side.mp4", plan.Source{Rate: tags.Rate{Num: 30, Den: 1}}.Clock())
		s.Games = append(s.Games, game)
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range p.Entries {
		if e.Shows == plan.ShowsModel {
			if diff := cmp.Diff([]string{plan.Stranger}, e.Who); diff != "" || e.Game != "sc1" {
				t.Errorf("the model is of %s: %s", e.Game, diff)
			}
			if want := "Granite Valley against Mesa, Sep 5, 2026"; e.Of != want {
				t.Errorf("the model is of the game %q, want %q", e.Of, want)
			}
			return
		}
	}
	t.Error("no model to look at")
}
