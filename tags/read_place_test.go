package tags

import (
	"slices"
	"strings"
	"testing"
)

// A key that stands in another mapping than its own is named with its place, wherever it is
// and wherever it belongs.
func TestKeyInTheWrongPlace(t *testing.T) {
	const play, rep = "{play: 1, in: 1s, out: 9s, ", "{play: 1, in: 1s, out: 9s, reps: [{rusher: oke, battle: won, "
	for _, test := range []struct{ text, want string }{
		{play + "set: short}", `unknown key "set" in play; it belongs under blocker of a rep`},
		{play + "rusher: oke}", `unknown key "rusher" in play; it belongs in a rep, below reps`},
		{play + "snap: 5s}", `unknown key "snap" in play; it belongs under marks: marks: {snap: 5s}`},
		{play + "file: a.mp4}", `unknown key "file" in play; it belongs in an angle, below angles`},
		{play + "opponent: Mesa}", `unknown key "opponent" in play; it belongs under game`},
		{play + "people: {}}", `unknown key "people" in play; it belongs at the top of the file, with no indent`},
		{play + "tecnique: plus}", `unknown key "tecnique" in play; did you mean "technique", which belongs under grade of a rep?`},
		{play + "marks: {out: 9s}}", `unknown key "out" in marks; it belongs in the play`},
		{rep + "set: short}]}", `unknown key "set" in rep; it belongs under blocker: blocker: {set: short}`},
		{rep + "technique: plus}]}", `unknown key "technique" in rep; it belongs under grade: grade: {technique: plus}`},
		{rep + "beat: +1.9s}]}", `unknown key "beat" in rep; it belongs under marks: marks: {beat: +1.9s}`},
		{rep + "down: 3}]}", `unknown key "down" in rep; it belongs in the play`},
		{rep + "marks: {snap: 5s}}]}", `unknown key "snap" in marks of a rep; it belongs under marks of the play`},
		{rep + "blocker: {help: none}}]}", `unknown key "help" in blocker; it belongs in the rep`},
		{rep + "grade: {set: short}}]}", `unknown key "set" in grade; it belongs under blocker of the rep`},
		{rep + "blocker: {sett: short}}]}", `unknown key "sett" in blocker; did you mean "set"?`},
	} {
		if _, faults := parseText(t, "  - "+test.text+"\n"); len(faults) != 1 || faults[0].What+"; "+faults[0].Hint != test.want {
			t.Errorf("%s has faults\n%v\nwant\n%s", test.text, faults, test.want)
		}
	}
}

// No mapping of a tag file takes every key that another has, and every field of the register
// is in one.
func TestEveryKeyHasAPlace(t *testing.T) {
	places := mappingPlaces()
	var all []string
	for _, p := range places {
		all = append(all, p.keys...)
	}
	for _, f := range PlayFields {
		if !slices.Contains(all, f.FileKey()) {
			t.Errorf("no mapping has %s of a play", f.FileKey())
		}
	}
	for _, f := range RepFields {
		i := slices.IndexFunc(places, func(p mappingPlace) bool {
			return p.what == "rep" && f.Under == "" || p.path != nil && p.path[len(p.path)-1] == f.Under && p.owner == "rep"
		})
		if i < 0 || !slices.Contains(places[i].keys, f.FileKey()) {
			t.Errorf("no mapping has %s of a rep", f.FileKey())
		}
	}
	for _, here := range places {
		for _, key := range all {
			to, ok := here.nearest(places, key)
			if !ok || slices.Contains(here.keys, key) != (strings.Join(to.path, "/") == strings.Join(here.path, "/")) {
				t.Errorf("%s in %s belongs %s", key, here.what, to.from(here))
			}
		}
	}
}
