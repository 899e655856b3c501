package plan_test

import (
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/templates"
)

func TestDefaultRecipe(t *testing.T) {
	r, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	if r.Before != 3*tags.Second || r.After != tags.Second || r.Beyond || r.Reveal != plan.RevealAfter || !slices.Equal(r.Order, []plan.Order{plan.ByFilm}) || r.Look.Ink == "" {
		t.Errorf("%+v", r)
	}
}

// Whoever looks for a key finds it in the default recipe.
func TestDefaultRecipeHasEveryKey(t *testing.T) {
	text, err := templates.FS.ReadFile("default.reel.yaml")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := os.ReadFile("../../templates/schema/recipe.json")
	if err != nil {
		t.Fatal(err)
	}
	var keys struct{ Properties map[string]any }
	if err := json.Unmarshal(schema, &keys); err != nil || len(keys.Properties) == 0 {
		t.Fatal(err, keys)
	}
	for key := range keys.Properties {
		if !regexp.MustCompile(`(?m)^(# )?(\w+: and )?` + key + `:`).Match(text) {
			t.Errorf("it does not say %s", key)
		}
	}
}

func TestParseRecipe(t *testing.T) {
	base := recipe(t)
	got, err := plan.ParseRecipe("meeting.reel.yaml", []byte(`trenchcut: 1
title: Third and long
choose: inside-counter set=short
where: distance > 6
plays: yes
order: down
angles: [sideline, tower]
before: 2.5s
after: 0:02
beyond: yes
reveal: before
size: 720p
rate: 29.97
mute: yes
look: {accent: "#E69F00"}
`), base)
	if err != nil {
		t.Fatal(err)
	}
	want := base
	want.Title, want.Choose, want.Where, want.Plays = "Third and long", []string{"inside-counter", "set=short"}, "distance > 6", true
	want.Order, want.Angles, want.Before, want.After = []plan.Order{plan.ByDown}, []string{"sideline", "tower"}, 5*tags.Second/2, 2*tags.Second
	want.Beyond, want.Reveal, want.Width, want.Height = true, plan.RevealBefore, 1280, 720
	want.Rate, want.Mute, want.Look.Accent = tags.Rate{Num: 30000, Den: 1001}, true, "#e69f00"
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// A section starts from what the recipe says, and its terms hold besides the recipe's.
func TestRecipeSections(t *testing.T) {
	r, err := plan.ParseRecipe("x.reel.yaml", []byte(`trenchcut: 1
sections:
  - {title: One}
  - {title: Two, choose: battle=won, where: down == 3, order: [outcome, film], limit: 3, vary: yes, model: yes, freeze: {at: turn}}
choose: set=short
where: quarter > 2
limit: 8
`), recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	base := recipe(t).Selection
	one, two := base, base
	one.Choose, one.Where, one.Limit = []string{"set=short"}, "quarter > 2", 8
	two.Choose, two.Where, two.Limit = []string{"set=short", "battle=won"}, "(quarter > 2) && (down == 3)", 3
	two.Order, two.Vary, two.Model = []plan.Order{plan.ByOutcome, plan.ByFilm}, []plan.Trait{plan.TraitMove}, true
	two.Freeze = plan.Freeze{At: tags.Turn, Hold: 4 * tags.Second}
	if diff := cmp.Diff([]plan.Section{{Title: "One", Selection: one}, {Title: "Two", Selection: two}}, r.Parts()); diff != "" {
		t.Error(diff)
	}
	_, err = plan.ParseRecipe("bad.reel.yaml", []byte("trenchcut: 1\nsections:\n  - {choose: x}\n  - {title: a, size: 720p, order: [best]}\n"), recipe(t))
	for _, want := range []string{"bad.reel.yaml:3:5: a section wants a title", `bad.reel.yaml:4:16: unknown key "size" in section`, `bad.reel.yaml:4:36: unknown order "best"`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no fault %q in:\n%v", want, err)
		}
	}
}

func TestRecipeFaults(t *testing.T) {
	_, err := plan.ParseRecipe("bad.reel.yaml", []byte(`trenchcut: 1
titel: x
order: best
before: 3
after: 2:00
reveal: never
size: 721x
rate: fast
look: {ink: red, leed: 5}
`), recipe(t))
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{
		`bad.reel.yaml:2:1: unknown key "titel" in the recipe; did you mean "title"?`,
		`bad.reel.yaml:3:8: unknown order "best"; want one of film, outcome, time-to-beat, down, stakes, point, why`,
		`bad.reel.yaml:4:9: "3" is not a length of time such as 3s or 2.5s, at most 60 s`,
		`bad.reel.yaml:5:8: "2:00" is not a length of time`,
		`bad.reel.yaml:6:9: unknown reveal "never"`,
		`bad.reel.yaml:7:7: size "721x" is not one such as 720p or 1280x720`,
		`bad.reel.yaml:8:7: rate "fast" is not a number of frames a second`,
		`bad.reel.yaml:9:13: ink "red" is not a colour such as "#e69f00"`,
		`bad.reel.yaml:9:18: unknown key "leed" in look; did you mean "lead"?`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no fault %q in:\n%v", want, err)
		}
	}
}

func TestParseSize(t *testing.T) {
	for s, want := range map[string][2]int{"720p": {1280, 720}, "1080p": {1920, 1080}, "540p": {960, 540}, "1080x1920": {1080, 1920}, "640×360": {640, 360}} {
		if w, h, err := plan.ParseSize(s); err != nil || w != want[0] || h != want[1] {
			t.Errorf("%s is %d×%d (%v), want %v", s, w, h, err, want)
		}
	}
	for _, s := range []string{"", "p", "721p", "720", "1280x721", "9000p", "100x100", "-720p", "1280x720x30"} {
		if w, h, err := plan.ParseSize(s); err == nil {
			t.Errorf("%q is %d×%d, want an error", s, w, h)
		}
	}
}

func FuzzParseRecipe(f *testing.F) {
	f.Add([]byte("trenchcut: 1\ntitle: x\norder: down\nsize: 720p\nlook: {ink: \"#ffffff\"}\n"))
	f.Add([]byte("trenchcut: 1\nbefore: -3s\nangles: {a: b}\nchoose: [a=b]\n"))
	base, err := plan.DefaultRecipe()
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := plan.ParseRecipe("fuzz.reel.yaml", data, base)
		if err != nil {
			return
		}
		if r.Before < 0 || r.After < 0 || r.Width%2 != 0 || r.Height%2 != 0 || r.Width > 3840 {
			t.Errorf("accepted %+v", r)
		}
	})
}
