package stats

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"trenchcut/tags"
)

// duel is one invented rep, one-on-one.
type duel struct {
	rusher, blocker, set, battle string
}

// duels is games of duels as reps.
func duels(t *testing.T, games [][]duel) []*tags.Rep {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for i, list := range games {
		var file strings.Builder
		fmt.Fprintf(&file, "trenchcut: 1\ngame: {id: g%d, date: 2026-09-%02d, opponent: Them}\nassume: {help: none}\nfilm: {endzone: {file: x.mp4}}\npeople:\n", i, i+1)
		met := map[string]bool{}
		for _, d := range list {
			for who, team := range map[string]string{d.rusher: "us", d.blocker: "Them"} {
				if !met[who] {
					met[who] = true
					fmt.Fprintf(&file, "  %s: {team: %s}\n", who, team)
				}
			}
		}
		file.WriteString("plays:\n")
		for n, d := range list {
			fmt.Fprintf(&file, "- {play: %d, type: dropback, down: 3, distance: 8, in: %ds, out: %[2]d.9s, marks: {snap: %[2]ds}, reps: [{rusher: %[3]s, job: rush, align: '5', battle: %[4]s, blocker: {who: %[5]s, set: %[6]s}}]}\n",
				n+1, n, d.rusher, d.battle, d.blocker, d.set)
		}
		game, faults := tags.ParseGame(fmt.Sprintf("g%d.game.yaml", i), []byte(file.String()), v)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, game)
	}
	return s.Reps()
}

// season of duels in which easy gets short sets mostly, and good is the better rusher;
// short sets are won more often.
func inventedDuels(t *testing.T, games, each int) []*tags.Rep {
	r := rand.New(rand.NewPCG(11, 7))
	all := make([][]duel, games)
	for i := range all {
		for range each {
			d := duel{rusher: []string{"easy", "good", "plain"}[r.IntN(3)], blocker: fmt.Sprintf("b%d", r.IntN(8)), set: "vertical", battle: "lost"}
			short := 0.3
			if d.rusher == "easy" {
				short = 0.9
			}
			chance := 0.2
			if r.Float64() < short {
				d.set, chance = "short", 0.5
			}
			if d.rusher == "good" {
				chance += 0.2
			}
			switch u := r.Float64(); {
			case u < chance:
				d.battle = "won"
			case u < chance+0.2:
				d.battle = "stalemate"
			}
			all[i] = append(all[i], d)
		}
	}
	return duels(t, all)
}

// Who got the easy situations has the higher rate, and is not the better rusher.
func TestExpected(t *testing.T) {
	e := Dropbacks.ExpectedOf(inventedDuels(t, 8, 90))
	if e.Why != "" {
		t.Fatal(e.Why)
	}
	won, expected := 0.0, 0.0
	men := map[string]Beyond{}
	for _, m := range e.Men {
		men[m.Name] = m
		won, expected = won+float64(m.Won.K), expected+*m.Expected
	}
	if gap := won - expected; gap > 0.5 || gap < -0.5 {
		t.Errorf("%.1f won and %.1f expected of all: want the same", won, expected)
	}
	raw := func(name string) float64 { return float64(men[name].Won.K) / float64(men[name].Won.N) }
	if raw("easy") <= raw("plain")+0.1 {
		t.Fatalf("raw rates %.2f and %.2f: the season proves nothing", raw("easy"), raw("plain"))
	}
	if g := men["good"].Over; e.Men[0].Name != "good" || g.Low <= 0 || g.High >= 0.25 {
		t.Errorf("good: %+v, want about 0.13 over and surely over nothing", g)
	}
	if gap := men["easy"].Over.At - men["plain"].Over.At; gap > 0.1 {
		t.Errorf("easy is %.2f over plain in like situations: want about none", gap)
	}
	if len(e.Gives) != 1 || e.Gives[0].Fact != "set" || e.Gives[0].Odds.Low > 1 && e.Gives[0].Odds.High < 1 {
		t.Errorf("situations %+v, want the set alone", e.Gives)
	}
}

// Men of whom nothing is said stand behind those of whom something is, however many reps they have.
func TestExpectedOrder(t *testing.T) {
	e := Dropbacks.ExpectedOf(filter(inventedDuels(t, 8, 90), func(r *tags.Rep) bool {
		switch r.Rusher.ID {
		case "plain":
			return r.Play.Game.ID < "g2"
		case "easy":
			return r.Play.Number%10 == 0
		default:
			return true
		}
	}))
	if e.Why != "" || len(e.Men) != 3 {
		t.Fatalf("%q, %d men", e.Why, len(e.Men))
	}
	if last := e.Men[2]; last.Over != nil || last.Won.N <= e.Men[1].Won.N && last.Won.N <= e.Men[0].Won.N {
		t.Errorf("%+v stand in this order", e.Men)
	}
}

func TestExpectedRefuses(t *testing.T) {
	all := inventedDuels(t, 8, 90)
	for _, c := range []struct {
		reps []*tags.Rep
		want string
	}{
		{nil, "no rep counts"},
		{inventedDuels(t, 2, 90), "2 games of film, and it takes 3 at least"},
		{inventedDuels(t, 3, 16), "to tell 2 situations apart takes 20 of each"},
		{filter(inventedDuels(t, 3, 16), func(r *tags.Rep) bool { return r.Set == "vertical" }), "to tell 1 situation apart takes 10 of each"},
		{filter(all, func(r *tags.Rep) bool { return r.Blocker.ID < "b4" }), "4 blockers, and it takes 5"},
		{filter(all, func(r *tags.Rep) bool { return r.Set == "vertical" || r.Battle == "won" }), "all won or none did"},
	} {
		if e := Dropbacks.ExpectedOf(c.reps); e.Gives != nil || !strings.Contains(e.Why, c.want) {
			t.Errorf("said %q with %d men, want %q", e.Why, len(e.Men), c.want)
		}
	}
}

func TestRooms(t *testing.T) {
	rooms := Dropbacks.Rooms(inventedDuels(t, 4, 25))
	won := rooms[0]
	if won.Why != "" || len(won.Men) != 3 {
		t.Fatalf("%+v, want three men", won)
	}
	low, high := 1.0, 0.0
	for _, m := range won.Men {
		raw := float64(m.K) / float64(m.N)
		low, high = min(low, raw), max(high, raw)
	}
	for _, m := range won.Men {
		if m.Likely.At <= low || m.Likely.At >= high {
			t.Errorf("%s: likely %.3f, want between the raw rates %.3f and %.3f", m.Name, m.Likely.At, low, high)
		}
	}
	if got, want := won.Men[0].Sentence("won"), "with the room's film behind it, about"; !strings.Contains(got, want) {
		t.Errorf("sentence %q, want %q in it", got, want)
	}
	if got := Dropbacks.Rooms(inventedDuels(t, 2, 25))[0]; got.Why != "2 games of film, and it takes 3 at least" || got.Men[0].Likely != nil {
		t.Errorf("two games: %+v", got)
	}
	if got := Dropbacks.Rooms(filter(inventedDuels(t, 4, 25), func(r *tags.Rep) bool { return r.Rusher.ID == "good" }))[0]; got.Why == "" {
		t.Errorf("one man is no room: %+v", got)
	}
}

func TestPairsOf(t *testing.T) {
	p := Dropbacks.PairsOf(inventedDuels(t, 6, 60))
	if p.Why != "" || len(p.Rushers) != 3 || len(p.Blockers) != 8 || len(p.Pairs)+p.Seldom != 24 {
		t.Fatalf("%d rushers, %d blockers, %d pairs and %d seldom, why %q", len(p.Rushers), len(p.Blockers), len(p.Pairs), p.Seldom, p.Why)
	}
	reps, wins := 0, map[string]float64{}
	for _, m := range p.Rushers {
		reps += m.Reps()
		wins[m.Rusher] = m.Likely.At
	}
	if wins["good"] <= wins["plain"] {
		t.Errorf("good wins %.2f and plain %.2f", wins["good"], wins["plain"])
	}
	if reps != 360 || p.Untagged+p.NotAlone != 0 {
		t.Errorf("%d reps, %d and %d left out, want all 360", reps, p.Untagged, p.NotAlone)
	}
	if p := Dropbacks.PairsOf(inventedDuels(t, 2, 60)); p.Why == "" || p.Pairs[0].Likely != nil {
		t.Errorf("two games: %+v", p)
	}
}

func TestHowMany(t *testing.T) {
	for _, c := range []struct {
		got, want string
	}{
		{HowMany(.25, .40), "to tell 25 from 40 in 100 takes about 152 rushes on each side, more where games differ"},
		{HowMany(.40, .25), "to tell 40 from 25 in 100 takes about 152 rushes on each side, more where games differ"},
		{HowMany(.40, .401), ""},
		{HowManyMore(Count{5, 20}), "to tell 25 from 40 in 100 takes about 152 rushes on each side, more where games differ"},
		{HowManyMore(Count{1, 4}), ""},
		{HowManyMore(Count{19, 20}), "to tell 80 from 95 in 100 takes about 76 rushes on each side, more where games differ"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
