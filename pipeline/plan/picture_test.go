package plan_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

func TestParsePictures(t *testing.T) {
	r, err := plan.ParseRecipe("season/x.reel.yaml", []byte("trenchcut: 1\nintro: logo.png\noutro:\n  - {file: art/end.jpg, hold: 2s}\n  - logo.png\n"), recipe(t))
	if err != nil {
		t.Fatal(err)
	}
	at := func(line, column int) tags.Pos {
		return tags.Pos{File: "season/x.reel.yaml", Line: line, Column: column}
	}
	if diff := cmp.Diff([]plan.Picture{{Pos: at(2, 8), File: "logo.png", Hold: 3 * tags.Second}}, r.Intro); diff != "" {
		t.Error(diff)
	}
	want := []plan.Picture{{Pos: at(4, 12), File: "art/end.jpg", Hold: 2 * tags.Second}, {Pos: at(5, 5), File: "logo.png", Hold: 3 * tags.Second}}
	if diff := cmp.Diff(want, r.Outro); diff != "" {
		t.Error(diff)
	}
	if r, err = plan.ParseRecipe("y.reel.yaml", []byte("trenchcut: 1\nintro: no\n"), r); err != nil || r.Intro != nil || r.Outro == nil {
		t.Errorf("intro: no leaves %v and %v (%v)", r.Intro, r.Outro, err)
	}
	for text, want := range map[string]string{
		"intro: ../logo.png":                      `bad.reel.yaml:2:8: intro "../logo.png": want a PNG or JPEG file beside the recipe`,
		"intro: /etc/logo.png":                    `bad.reel.yaml:2:8: intro "/etc/logo.png": want`,
		"outro:":                                  `bad.reel.yaml:2:7: outro "": want`,
		"outro: [a.png, {hold: 3s}]":              `bad.reel.yaml:2:16: outro "": want`,
		"outro: {file: a.png, hold: 60s}":         `bad.reel.yaml:2:28: "60s" is not a hold`,
		"intro: {file: a.png, size: 3}":           `bad.reel.yaml:2:22: unknown key "size" in intro`,
		"intro: [a.png, a.png, b, b, c.png, d]":   `bad.reel.yaml:2:8: intro has 6 pictures, want at most 5`,
		"sections: [{title: x, intro: logo.png}]": `bad.reel.yaml:2:23: unknown key "intro" in section`,
	} {
		if _, err := plan.ParseRecipe("bad.reel.yaml", []byte("trenchcut: 1\n"+text+"\n"), recipe(t)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

// The staff's pictures stand at the ends, whole, and go by what is in them, not by their name.
func TestPictures(t *testing.T) {
	logo := plan.Picture{File: "logo.png", Hold: 2 * tags.Second, Content: "aa", Width: 300, Height: 300}
	with := func(intro, outro []plan.Picture) *plan.Plan {
		return build(t, fourReps, func(r *plan.Recipe) { r.Intro, r.Outro = intro, outro }, nil)
	}
	bare := with(nil, nil)
	p := with([]plan.Picture{logo}, []plan.Picture{logo, {Content: "bb", Hold: tags.Second, Width: 1600, Height: 900}})
	n := len(p.Entries)
	if first, last := p.Slates(); first != 1 || last != n-3 || n != len(bare.Entries)+3 {
		t.Errorf("slates at %d and %d of %d entries", first, last, n)
	}
	if first, last := bare.Slates(); first != 0 || last != len(bare.Entries)-1 {
		t.Errorf("without pictures slates are at %d and %d", first, last)
	}
	for i, want := range map[int]plan.Segment{
		0:     {Picture: "aa", Hold: 60, Fit: plan.Fit{X: 280, Width: 720, Height: 720}},
		n - 2: {Picture: "aa", Hold: 60, Fit: plan.Fit{X: 280, Width: 720, Height: 720}},
		n - 1: {Picture: "bb", Hold: 30, Fit: plan.Fit{Width: 1280, Height: 720}},
	} {
		e := p.Entries[i]
		got := plan.Segment{Picture: e.Segment.Picture, Hold: e.Segment.Hold, Fit: e.Segment.Fit}
		if diff := cmp.Diff(want, got); diff != "" || e.Segment.Card != nil || e.Shows != plan.ShowsStaff || e.Clip() {
			t.Errorf("entry %d: %s", i, diff)
		}
	}
	// No film and no slate is another for it.
	if diff := cmp.Diff(bare.Entries, p.Entries[1:n-2]); diff != "" {
		t.Error(diff)
	}
	key := func(p plan.Picture) plan.Key {
		k, err := with([]plan.Picture{p}, nil).Entries[0].Segment.Key("tool")
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	renamed, redrawn := logo, logo
	renamed.File, renamed.Pos = "other.png", tags.Pos{File: "x", Line: 9}
	redrawn.Content = "cc"
	if keys := []plan.Key{key(logo), key(renamed), key(redrawn)}; keys[0] != keys[1] || slices.Contains(keys[:2], keys[2]) {
		t.Errorf("keys of one picture under two names, and of another: %v", keys)
	}
}
