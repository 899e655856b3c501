package tags

import (
	"fmt"
	"strings"
	"testing"
)

// What is not tagged is unknown, unless the file says that there was none.
func TestAssume(t *testing.T) {
	const reps = `
  - play: 1
    in: 1s
    out: 9s
    reps:
      - {rusher: oke, blocker: {who: q72}, battle: won}
      - {rusher: bryn, blocker: {who: q72}, help: chip-te, loaf: yes, battle: won}
  - play: 2
    in: 1s
    out: 9s
    type: run
    reps:
      - {rusher: oke, blocker: {block: double}, battle: won}
      - {rusher: bryn, blocker: {block: base}, battle: won}
  - play: 3
    in: 1s
    out: 9s
    reps:
      - {rusher: oke, unblocked: yes, battle: won}
      - {rusher: bryn, battle: won}
`
	read := func(assume string) string {
		t.Helper()
		g, faults := parseText(t, reps+assume)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		packedGame, err := pack(g)
		if err != nil {
			t.Fatal(err)
		}
		again, ok := unpack(packedGame, g.Pos.File, g.vocabulary)
		if !ok {
			t.Fatal("the packed game cannot be read")
		}
		said := factsOf(g)
		if kept := factsOf(again); kept != said {
			t.Errorf("from the cache: %s, want %s", kept, said)
		}
		return said
	}
	for assume, want := range map[string]string{
		"": ", helped chip-te yes, helped, one-on-one, unblocked, ",
		"assume: {help: none, loaf: no}\n": "one-on-one none* no*, helped chip-te yes, helped no*, one-on-one none* no*, " +
			"unblocked none* no*,  none* no*",
	} {
		if got := read(assume); got != want {
			t.Errorf("%q gives %q, want %q", assume, got, want)
		}
	}
}

// factsOf is matchup, help and loaf of each rep; a star marks what is assumed.
func factsOf(g *Game) string {
	var said []string
	for _, p := range g.Plays {
		for _, r := range p.Reps {
			words := r.Matchup()
			if r.Help != "" {
				words += " " + r.Help + star(r, "help")
			}
			if r.Loaf != "" {
				words += " " + r.Loaf + star(r, "loaf")
			}
			said = append(said, words)
		}
	}
	return strings.Join(said, ", ")
}

func star(r *Rep, field string) string {
	for f := range r.Assumed() {
		if f.Name == field {
			return "*"
		}
	}
	return ""
}

func TestAssumeFaults(t *testing.T) {
	_, faults := parseText(t, "  - {play: 1, reps: [91 won]}\nassume: {help: chip-te, loaf: yes, battle: won, hepl: none}\n")
	said := fmt.Sprint(faults)
	for _, want := range []string{
		"assume help: chip-te: only none can be assumed",
		"assume loaf: yes: only no can be assumed",
		`unknown key "battle"`, `unknown key "hepl"`,
	} {
		if !strings.Contains(said, want) {
			t.Errorf("faults lack %q:\n%s", want, said)
		}
	}
}
