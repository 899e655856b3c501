package mark_test

import (
	"testing"

	"trenchcut/pipeline/mark"
	"trenchcut/tags"
	"trenchcut/tags/invent"
)

// BenchmarkKey is what one key costs in a game of 500 reps, with all that the page is told
// after it: a letter that only narrows what is offered, and a word that is taken and saved.
func BenchmarkKey(b *testing.B) {
	_, text := invent.Game(1, 0, 500)
	d, _ := opened(b, string(text), map[string]tags.Rate{"endzone": {Num: 30000, Den: 1001}, "sideline": {Num: 30000, Den: 1001}})
	var desk mark.Desk
	for _, p := range d.Look().Game.Plays {
		if len(p.Reps) > 0 && p.IsPass() {
			desk = mark.Desk{Pass: mark.RepsPass, Play: p.Number, Rep: p.Reps[0].Rusher.ID}
		}
	}
	press := func(b *testing.B, keys ...string) {
		for _, key := range keys {
			if desk = d.Act(desk, mark.Act{Do: "key", Key: key}); desk.Wrong {
				b.Fatal(desk.Said)
			}
			_ = d.View(desk)
		}
	}
	b.Run("letter", func(b *testing.B) {
		press(b, "Escape", ";")
		for b.Loop() {
			press(b, "s", "Backspace")
		}
	})
	b.Run("word", func(b *testing.B) {
		press(b, "Escape")
		for i := 0; b.Loop(); i++ {
			press(b, "h", []string{"h", "w"}[i%2])
		}
	})
}
