// Package invent makes up seasons of tag files, written the way a staff writes them, for
// tests and for measuring speed. Nobody and nothing in them exists.
package invent

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Season writes games tag files below dir that hold at least reps reps altogether, and
// names them. The same seed gives the same bytes. No file has a fault, and the film that
// they name is not there.
func Season(dir string, seed uint64, games, reps int) ([]string, error) {
	files := make([]string, games)
	for i := range files {
		id, text := Game(seed, i, (reps*(i+1))/games-(reps*i)/games)
		files[i] = filepath.Join(dir, id+".game.yaml")
		if err := os.WriteFile(files[i], text, 0o666); err != nil {
			return nil, fmt.Errorf("write an invented game: %w", err)
		}
	}
	return files, nil
}

// Game is the id and the tag file of the n-th game of a season: plays until there are
// reps reps.
func Game(seed uint64, n, reps int) (id string, text []byte) {
	w := &writer{Rand: rand.New(rand.NewPCG(seed, uint64(n)))}
	us, them := w.place(), w.place()
	for them == us {
		them = w.place()
	}
	day := time.Date(2026, 9, 4, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n/16*7)
	id = fmt.Sprintf("wk%02d-%03d-%s", 1+n/16, n, strings.ToLower(them))
	w.line("trenchcut: 1")
	w.line("# Side is the offence's left and right. Times are the film's own; marks run from the snap.")
	w.line("game: {id: %s, kind: game, date: %s, us: %s, opponent: %s, field: %s}", id, day.Format(time.DateOnly), us, them, w.of("college", "pro", "high-school"))
	w.line("\nfilm:\n  endzone:  {file: film/%s-endzone.mp4}\n  sideline: {file: film/%[1]s-sideline.mp4}", id)
	w.people(them)
	w.line("\nplays:")
	for play := 1; w.reps < reps; play++ {
		w.play(play, reps-w.reps)
	}
	return id, []byte(w.text.String())
}

type writer struct {
	*rand.Rand
	text strings.Builder
	reps int // written so far
	film [2]time.Duration
	us   []person
	them []string // ids of blockers
}

type person struct{ id, jersey string }

func (w *writer) line(format string, args ...any) { fmt.Fprintf(&w.text, format+"\n", args...) }

func (w *writer) of(words ...string) string { return words[w.IntN(len(words))] }

// chance is true so many times in a hundred.
func (w *writer) chance(percent int) bool { return w.IntN(100) < percent }

// maybe is the text, so many times in a hundred, else nothing.
func (w *writer) maybe(percent int, format string, args ...any) string {
	if !w.chance(percent) {
		return ""
	}
	return fmt.Sprintf(format, args...)
}

// name is syllables that were drawn, so that it is nobody's but by chance.
func (w *writer) name() string {
	name := w.of("Bral", "Cor", "Dren", "Fá", "Gosk", "Hul", "Jarr", "Kva", "Lom", "Møl", "Nesh", "Orv", "Pell", "Quo", "Rusk", "Tʻa", "Ū", "Vond", "Wex", "Zhi")
	for range 1 + w.IntN(2) {
		name += w.of("ba", "den", "fi", "gor", "huin", "ker", "lo", "mund", "nax", "psa", "rell", "šo", "tov", "vyn", "wick", "zeth")
	}
	return name
}

func (w *writer) place() string {
	return w.of("Ash", "Birch", "Cobble", "Drift", "Elder", "Flint", "Gorse", "Heron", "Ingle", "Juniper", "Kelp", "Larch") +
		w.of("barrow", "croft", "dale", "fell", "gate", "holt", "mere", "ness", "rigg", "stead", "thorpe", "wold")
}

func (w *writer) people(them string) {
	w.line("\npeople:\n  # ours")
	jerseys := w.Perm(50)
	for i, pos := range []string{"DE", "DE", "DT", "NT", "OLB", "LB", "DT", "DE"} {
		p := person{fmt.Sprintf("us-%c", 'a'+i), fmt.Sprint(50 + jerseys[i])}
		w.us = append(w.us, p)
		w.line("  %s: {name: %s %s, team: us, jersey: %s, pos: %s}", p.id, w.name(), w.name(), p.jersey, pos)
	}
	w.line("  # theirs; numbers are enough")
	for i, pos := range []string{"LT", "LG", "C", "RG", "RT", "TE"} {
		id := strings.ToLower(them[:2]) + fmt.Sprint(60+i)
		w.them = append(w.them, id)
		w.line("  %s: {team: %s, jersey: %d, pos: %s}", id, them, 60+i, pos)
	}
	w.line("  qb: {team: %s, jersey: %d, pos: QB%s}", them, 1+w.IntN(19), w.maybe(30, ", traits: {runs: yes}"))
}

// play writes one play with at most so many reps.
func (w *writer) play(number, most int) {
	kind := w.of("dropback", "dropback", "dropback", "dropback", "quick", "play-action", "screen", "run", "run")
	w.line("  - play: %d%s", number, w.maybe(4, "   # look at this one again"))
	w.line("    type: %s\n    series: %d\n    quarter: %d\n    clock: \"%d:%02d\"", kind, 1+number/6, min(1+number/22, 4), w.IntN(15), w.IntN(60))
	down := 1 + w.IntN(4)
	w.line("    down: %d\n    distance: %d\n    yard-line: %s %d\n    hash: %s", down, 1+w.IntN(12), w.of("own", "opp"), 1+w.IntN(50), w.of("left", "middle", "right"))
	w.text.WriteString(w.maybe(70, "    personnel: \"%s\"\n", w.of("10", "11", "11", "12", "21")))
	w.text.WriteString(w.maybe(70, "    front: %s\n", w.of("over", "under", "odd-mug", "bear")))
	if kind != "run" {
		w.text.WriteString(w.maybe(70, "    protection: %s\n", w.of("slide-left", "slide-right", "turn", "man")))
		w.line("    qb: qb")
	}
	w.text.WriteString(w.maybe(10, "    extra: {shell: %s, box: %d}\n", w.of("two-high", "one-high", "zero"), 5+w.IntN(4)))
	w.line("    angles:")
	for i, angle := range []string{"endzone: ", "sideline:"} {
		in := w.film[i] + w.milliseconds(100, 900)
		snap := in + w.milliseconds(2800, 4200)
		w.film[i] = snap + w.milliseconds(3900, 4900)
		w.line("      %s {in: %s, out: %s, snap: %s}", angle, clock(in), clock(w.film[i]), clock(snap))
	}
	finish := w.milliseconds(2600, 4200)
	if kind == "run" {
		w.line("    marks: {finish: %s}", since(finish))
	} else {
		w.line("    marks: {release: %s, finish: %s}", since(finish-w.milliseconds(200, 900)), since(finish))
	}
	if w.chance(6) { // a play that nobody tagged a rep of
		w.line("")
		return
	}
	w.line("    reps:")
	for _, who := range w.Perm(len(w.us))[:min(2+w.IntN(4), most)] {
		w.reps++
		switch {
		case w.chance(20):
			w.short(w.us[who], kind)
		default:
			w.long(w.us[who], kind)
		}
	}
	w.line("")
}

var (
	aligns   = []string{"0", "1", "2i", "3", "3", "4i", "5", "5", "wide-5", "7", "9", "9", "wide-9"}
	sets     = []string{"vertical", "angle", "short", "jump"}
	moves    = []string{"bull", "long-arm", "bull-and-pull", "speed-to-power", "dip", "speed-rip", "ghost", "swipe", "arm-over", "chop-swim", "cross-chop", "club-rip", "rip"}
	finishes = []string{"rip", "arm-over", "spin", "up-and-under", "rip/through", "dip"}
	blocks   = []string{"base", "reach", "down", "double", "pull", "cut"}
)

// result is a battle and an outcome that go together.
func (w *writer) result(kind string) (battle, outcome string) {
	won := w.chance(30)
	switch {
	case kind == "run" && won:
		return "won", w.of("tackle-for-loss", "stop", "edge-set", "forced-cutback")
	case kind == "run":
		return w.of("stalemate", "lost"), w.of("no-factor")
	case won:
		return "won", w.of("strip-sack", "sack", "hit", "hurry", "hurry", "flush", "no-factor")
	default:
		return w.of("stalemate", "lost", "lost"), w.of("no-factor")
	}
}

func (w *writer) short(who person, kind string) {
	battle, outcome := w.result(kind)
	align, side := w.of(aligns...), w.of("left", "right")
	if kind == "run" {
		w.line("      - %s %s %s %s %s %s", who.jersey, align, side, w.of(blocks[:3]...), battle, outcome)
		return
	}
	w.line("      - %s %s %s %s%s %s %s %s", who.jersey, align, side, w.of(moves...), w.maybe(30, ">%s", w.of(finishes...)), w.of(sets...), battle, outcome)
}

func (w *writer) long(who person, kind string) {
	battle, outcome := w.result(kind)
	w.line("      - rusher: %s", who.id)
	w.key(15, "job: %s", w.of("penetrator", "looper", "contain", "spy"))
	side, them := "left", w.them[2:] // over their right
	if w.chance(50) {
		side, them = "right", w.them[:3]
	}
	w.key(100, "align: %s\n        side: %s", w.of(aligns...), side)
	w.key(20, "stance: %s", w.of("two-point", "three-point"))
	getoff := w.milliseconds(140, 280)
	contact := getoff + w.milliseconds(250, 800)
	turn := contact + w.milliseconds(200, 700)
	if kind == "run" {
		w.key(100, "blocker: {who: %s, block: %s}", w.of(them...), w.of(blocks...))
		w.key(90, "marks: {getoff: %s, contact: %s}", since(getoff), since(contact))
	} else {
		w.key(97, "blocker: {who: %s, set: %s%s%s}", w.of(them...), w.of(sets...),
			w.maybe(50, ", hands: %s", w.of("high", "low", "early", "late", "wide")), w.maybe(25, ", lean: %s", w.of("forward", "back", "inside", "outside")))
		w.key(20, "help: %s", w.of("none", "chip-te", "chip-rb", "double", "slide-to"))
		w.key(8, "stunt: %s\n        called: %s", w.of("tackle-end", "end-tackle", "twist", "pirate"), w.of("coach", "players"))
		w.key(97, "move: [%s%s]", w.of(moves...), w.maybe(40, ", %s", w.of(finishes...)))
		w.key(35, "saw: [%s]", w.of("sat", "leaning", "overset", "shoulders-turned", "sat, hands-high", "hands-low", "qb-depth-reached"))
		w.key(10, "tells: [%s]", w.of("light hand", "wide split, set back early", "looked outside"))
		beat := ""
		if battle == "won" {
			beat = fmt.Sprintf(", turn: %s, beat: %s", since(turn), since(turn+w.milliseconds(200, 700)))
		}
		w.key(92, "marks: {getoff: %s, contact: %s%s}", since(getoff), since(contact), beat)
	}
	w.key(100, "battle: %s\n        outcome: %s", battle, outcome)
	w.key(5, "did: [%s]", w.of("half-sack", "missed-sack", "tackle", "assist, missed-tackle", "batted"))
	w.key(4, "credit: %s", w.of("clean-up", "coverage"))
	w.key(6, "contain: %s", w.of("had", "kept", "lost"))
	w.key(3, "penalty: %s", w.of("drew-hold", "offside"))
	w.key(40, "grade: {assignment: %s, technique: %s%s}", w.of("plus", "zero", "minus"), w.of("plus", "zero", "minus"), w.maybe(50, ", effort: %s", w.of("plus", "zero", "minus")))
	w.key(1, "loaf: yes")
	w.key(15, "note: %s", w.of("Ran past the QB's depth. Bend sooner.", "Outside arm free the whole way.", "Get to his hip first, then turn."))
	w.key(10, "point: %s", w.of("Outside foot up before the arm goes across.", "Pull his outside wrist down first."))
	w.key(8, "spot: {endzone: [0.%03d, 0.%03d]}", w.IntN(1000), w.IntN(1000))
	w.key(3, "draw: [{at: contact, angle: endzone, arrow: [0.%d, 0.%d, 0.%d, 0.%d]}]", w.IntN(100), w.IntN(100), w.IntN(100), w.IntN(100))
	w.key(2, "in: -1.5s\n        out: +3.25s")
}

// key writes a key of a rep, so many times in a hundred.
func (w *writer) key(percent int, format string, args ...any) {
	w.text.WriteString(w.maybe(percent, "        "+format+"\n", args...))
}

func (w *writer) milliseconds(least, most int) time.Duration {
	return time.Duration(least+w.IntN(most-least)) * time.Millisecond
}

// clock is a time on the film: 0:08:02.100.
func clock(t time.Duration) string {
	ms := t.Milliseconds()
	return fmt.Sprintf("%d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}

// since is a time from the snap: +1.30s.
func since(t time.Duration) string { return fmt.Sprintf("+%.2fs", t.Seconds()) }
