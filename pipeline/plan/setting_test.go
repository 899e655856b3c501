package plan_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// A setting says what the recipe file would say, and holds in sections as well.
func TestSettings(t *testing.T) {
	base, err := plan.ParseRecipe("x.reel.yaml", []byte("trenchcut: 1\ntitle: Week 1\nchoose: set=short\nwhere: down == 3\n"+
		"sections: [{title: Won, choose: battle=won, limit: 8}, {title: Lost, choose: battle=lost}]\n"), recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	r, err := base.With(
		plan.Setting{Key: "title", Value: "Moves: what pays [1]"},
		plan.Setting{Key: "before", Value: "5s"},
		plan.Setting{Key: "mute", Value: "yes"},
		plan.Setting{Key: "limit", Value: "0"},
		plan.List("order", []string{"outcome", "film"}),
		plan.List("angles", []string{"coach's box", "sideline"}),
		plan.Setting{Key: "freeze", Value: "{at: turn, hold: 4s}"},
		plan.Setting{Key: "choose", Value: "move=spin"},
		plan.Setting{Key: "where", Value: "distance > 6"},
	)
	if err != nil {
		t.Fatal(err)
	}
	if r.Title != "Moves: what pays [1]" || r.Before != 5*tags.Second || !r.Mute {
		t.Errorf("%q, %v before, mute %v", r.Title, r.Before, r.Mute)
	}
	if !slices.Equal(r.Angles, []string{"coach's box", "sideline"}) {
		t.Errorf("angles %q", r.Angles)
	}
	if !slices.Equal(r.Choose, []string{"set=short", "move=spin"}) || r.Where != "(down == 3) && (distance > 6)" {
		t.Errorf("choose %q where %q", r.Choose, r.Where)
	}
	for _, s := range r.Sections {
		if s.Limit != 0 || !slices.Equal(s.Order, []plan.Order{plan.ByOutcome, plan.ByFilm}) || s.Freeze.Hold != 4*tags.Second {
			t.Errorf("section %s: limit %d, order %v, freeze %v", s.Title, s.Limit, s.Order, s.Freeze)
		}
		if len(s.Choose) != 1 {
			t.Errorf("section %s chooses %q, want its own alone", s.Title, s.Choose)
		}
	}
	if base.Sections[0].Limit != 8 {
		t.Error("the recipe that settings were given to has changed")
	}
}

// Every setting that is wrong is told at once.
func TestWrongSettings(t *testing.T) {
	_, err := recipe(t).With(
		plan.Setting{Key: "befor", Value: "5s"},
		plan.Setting{Key: "before", Value: "5"},
		plan.Setting{Key: "mute", Value: "maybe"},
		plan.Setting{Key: "angles", Value: "[endzone"},
		plan.Setting{Key: "angles", Value: "endzone"},
		plan.Setting{Key: "sections", Value: "[]"},
	)
	var wrong *tags.RequestError
	if !errors.As(err, &wrong) {
		t.Fatalf("%v, want a RequestError", err)
	}
	for _, want := range []string{
		`befor: unknown key of a recipe; did you mean "before"?`,
		`before: "5" is not a length of time`,
		`mute: mute is "maybe", not yes or no`,
		`angles: [endzone is not a list or a mapping`,
		`angles: angles is "endzone", want a list`,
		`sections: only a recipe file can say it`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nlacks %s", err, want)
		}
	}
}

func TestParseSetting(t *testing.T) {
	for text, want := range map[string]plan.Setting{
		"before=5s":        {Key: "before", Value: "5s"},
		"where = down==3 ": {Key: "where", Value: "down==3"},
		"title=":           {Key: "title"},
	} {
		if got, err := plan.ParseSetting(text); err != nil || got != want {
			t.Errorf("%q is %v, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"before", "=5s", ""} {
		if _, err := plan.ParseSetting(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}
