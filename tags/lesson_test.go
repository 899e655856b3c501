package tags

import (
	"fmt"
	"slices"
	"testing"
)

func TestLesson(t *testing.T) {
	v, err := DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	missed := v.Reads[:1]
	for _, c := range []struct {
		rep    string
		missed []Read
		own    bool
		says   string // the first; empty where there is none
		from   LessonFrom
		move   string
	}{
		{"battle: won, move: [bull], point: Again.", nil, true, "", 0, ""},
		{"outcome: no-factor, move: [bull], point: Again.", nil, true, "", 0, ""},
		{"battle: lost, move: [bull], point: Low., note: Look.", missed, true, "Low.", FromCoach, "swipe"},
		{"battle: lost, move: [bull], note: Look.", missed, true, "Look.", FromCoach, "swipe"},
		{"battle: lost, move: [bull], point: Great effort., praise: yes", missed, true, "", 0, ""},
		{"battle: lost, move: [bull], note: Great effort., praise: yes", missed, true, "", 0, ""},
		{"battle: lost, move: [bull], point: Low., praise: no", missed, true, "Low.", FromCoach, "swipe"},
		{"battle: lost, move: [bull], praise: yes", missed, true, missed[0].Why, FromRead, "swipe"},
		{"battle: lost, move: [bull], note: Look.", missed, false, missed[0].Why, FromRead, "swipe"},
		{"battle: lost, move: [bull], note: Look.", nil, false, "", 0, ""},
		{"battle: stalemate, move: [bull]", missed, true, missed[0].Why, FromRead, "swipe"},
		{"battle: lost, move: [rip, bull]", nil, true, "Win the first step and get your hands inside his; hips low, feet still driving.", FromMove, "bull"},
		{"battle: lost", nil, true, "", 0, ""},
	} {
		text := fmt.Sprintf("trenchcut: 1\ngame: {id: g, date: 2026-09-04}\nfilm: {endzone: {file: x.mp4}}\npeople: {a: {team: us}}\nplays:\n- {play: 1, in: 1s, out: 4s, marks: {snap: 2s}, reps: [{rusher: a, %s}]}\n", c.rep)
		game, faults := ParseGame("g.game.yaml", []byte(text), v)
		if faults.Grave() > 0 {
			t.Fatal(faults)
		}
		l, ok := game.Plays[0].Reps[0].Lesson(c.missed, c.own)
		if ok != (c.says != "") || ok && (l.Says[0] != c.says || l.From != c.from || l.Move.Name != c.move) {
			t.Errorf("%s, %d missed, own %v: %+v, want %q from %d by %s", c.rep, len(c.missed), c.own, l, c.says, c.from, c.move)
		}
		if ok && c.from == FromRead && !slices.Equal(l.Says, []string{c.says}) {
			t.Errorf("%s: says %q", c.rep, l.Says)
		}
	}
}
