package query

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// season is two games: reps p1-a short and beaten at 1.9 s, p1-b without a set, p2-a jump,
// p3 with no rep; q1-c of a game with columns of its own.
const gameP = `trenchcut: 1
game: {id: p, date: 2026-09-12, opponent: Harbor State}
film: {endzone: {file: x.mp4}}
people:
  a: {name: Teo Marlow, team: us, jersey: 91, pos: DE}
  b: {name: Ike Okafor, team: us, jersey: 55, pos: DT}
  q: {name: Lon Reed, jersey: 8, traits: {runs: yes}}
plays:
- play: 1
  type: dropback
  quarter: 1
  clock: "11:32"
  down: 3
  distance: 8
  front: over
  qb: q
  in: 0:00:01
  out: 0:00:09
  marks: {snap: 0:00:03, release: +2.64s}
  reps:
  - {rusher: a, blocker: {set: short}, move: [long-arm, up-and-under], marks: {beat: +1.9s}, battle: won, outcome: sack, loaf: yes}
  - {rusher: b, align: 3, move: [arm-over], battle: lost, saw: [sat, leaning]}
- play: 2
  type: dropback
  quarter: 2
  clock: "1:05"
  in: 0:00:11
  out: 0:00:19
  reps:
  - {rusher: a, blocker: {set: jump}, move: [bull, rip/through], battle: lost, outcome: no-factor}
- {play: 3, type: run, down: 1, distance: 10, in: 0:00:21, out: 0:00:29}
`

const gameQ = `trenchcut: 1
game: {id: q, date: 2026-09-19, kind: scout}
film: {endzone: {file: x.mp4}}
people: {c: {name: Sol Adeyemi, team: us, jersey: 55}}
plays:
- play: 1
  type: screen
  extra: {Coverage Shell: two-high, box: 6, set: heavy, In: x, "2nd": y}
  in: 0:00:01
  out: 0:00:09
  reps:
  - {rusher: c, blocker: {set: vertical}, battle: stalemate}
- {play: 2, extra: {box: 7.5}, in: 0:00:11, out: 0:00:19}
`

func load(t testing.TB) *tags.Season {
	t.Helper()
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := &tags.Season{Vocabulary: v}
	for name, text := range map[string]string{"p": gameP, "q": gameQ} {
		g, faults := tags.ParseGame(name+".game.yaml", []byte(text), v)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		s.Games = append(s.Games, g)
	}
	if s.Games[0].ID != "p" {
		s.Games[0], s.Games[1] = s.Games[1], s.Games[0]
	}
	return s
}

// chosen is what a query chooses and what it cannot judge: "p1-a p2-a, 1 ?set".
func chosen(t *testing.T, s *tags.Season, plays bool, where string, terms ...string) string {
	t.Helper()
	q, err := Parse(terms, where, s.Vocabulary, s)
	if err != nil {
		t.Fatalf("%q %q: %v", terms, where, err)
	}
	var names []string
	var u Unjudged
	if plays {
		result := q.Plays(s)
		u = result.Unjudged
		for _, p := range result.Plays {
			names = append(names, fmt.Sprintf("%s%d", p.Game.ID, p.Number))
		}
	} else {
		result := q.Reps(s)
		u = result.Unjudged
		for _, r := range result.Reps {
			names = append(names, fmt.Sprintf("%s%d-%s", r.Play.Game.ID, r.Play.Number, r.Rusher.ID))
		}
	}
	said := strings.Join(names, " ")
	if u.Unknown > 0 {
		said += fmt.Sprintf(", %d ?%s", u.Unknown, strings.Join(u.Missing, "+"))
	}
	return said
}

func TestReps(t *testing.T) {
	s := load(t)
	for _, test := range []struct{ terms, where, want string }{
		{"", "", "p1-a p1-b p2-a q1-c"},
		{"set=short", "", "p1-a, 1 ?set"},
		{"set!=short", "", "p2-a q1-c, 1 ?set"}, // != does not match what is not there
		{"set=short,jump", "", "p1-a p2-a, 1 ?set"},
		{"set!=short,jump", "", "q1-c, 1 ?set"},
		{"set=short rusher=b", "", ", 1 ?set"},
		{"set=short battle=stalemate", "", ""}, // p1-b is not even, whatever its set
		{"tagged!=set", "", "p1-b"},
		{"tagged=set tagged!=move", "", "q1-c"},
		{"move=up-and-under", "", "p1-a, 1 ?move"},
		{"move=rip,arm-over", "", "p1-b p2-a, 1 ?move"},
		{"move!=rip,arm-over", "", "p1-a, 1 ?move"},
		{"move=bull-rush", "", "p2-a, 1 ?move"}, // an alias
		{"first-move=long-arm", "", "p1-a, 1 ?move"},
		{"last-move=rip path=through", "", "p2-a, 1 ?move"},
		{"family=change", "", "p1-a, 1 ?move"},
		{"moves>=2", "", "p1-a p2-a, 1 ?move"},
		{"moves<2", "", "p1-b, 1 ?move"},
		{"inside-counter", "", "p1-a, 1 ?move"},
		{"combination", "", "p2-a, 1 ?move"},
		{"combination=yes", "", "p2-a, 1 ?move"},
		{"counter=no", "", "p1-b p2-a, 1 ?move"},
		{"counter!=no", "", "p1-a, 1 ?move"},
		{"saw=leaning", "", "p1-b, 3 ?saw"},
		{"rusher=91", "", "p1-a p2-a"},
		{"rusher=b,c", "", "p1-b q1-c"},
		{"rusher=a", "", "p1-a p2-a"},
		{"rusher=#91", "", "p1-a p2-a"},
		{"rusher=Marlow", "", "p1-a p2-a"},
		{"rushers=marlow,OKAFOR", "", "p1-a p1-b p2-a"},
		{"rusher!=marlow", "", "p1-b q1-c"},
		{"qb=reed", "", "p1-a p1-b, 2 ?qb"},
		{"91", "", "p1-a p2-a"},
		{"adeyemi", "", "q1-c"},
		{"sacks", "", "p1-a, 2 ?outcome"},
		{"outcome=sacks", "", "p1-a, 2 ?outcome"},
		{"inside-counters", "", "p1-a, 1 ?move"},
		{"set=Shorts,JUMP", "", "p1-a p2-a, 1 ?set"},
		{"down-class=third-longs", "", "p1-a p1-b, 2 ?down"},
		{"", `"Marlow" in rusher`, "p1-a p2-a"},
		{"", `"nobody" in rusher`, ""},
		{"rusher!=91,c", "", "p1-b"},
		{"qb-runs=yes", "", "p1-a p1-b, 2 ?qb-runs"},
		{"time-to-beat<=1.9", "", "p1-a, 3 ?time-to-beat"},
		{"time-to-beat<1.9s", "", ", 3 ?time-to-beat"},
		{"time-to-release>2", "", "p1-a p1-b, 2 ?time-to-release"},
		{"beat-in-time=no", "", "p1-b p2-a q1-c"},
		{"clock<2:00", "", "p2-a, 1 ?clock"},
		{"clock=11:32", "", "p1-a p1-b, 1 ?clock"},
		{"date>=2026-09-15", "", "q1-c"},
		{"kind=scout", "", "q1-c"},
		{"down=3 distance>=7", "", "p1-a p1-b, 2 ?distance+down"},
		{"down-class=third-long", "", "p1-a p1-b, 2 ?down"},
		{"loaf=yes", "", "p1-a, 3 ?loaf"}, // not tagged is unknown, never no
		{"loaf=no", "", ", 3 ?loaf"},
		{"coverage-shell=two-high", "", "q1-c, 3 ?coverage-shell"},
		{"box>5.5", "", "q1-c, 3 ?box"},
		{"extra-set=heavy", "", "q1-c, 3 ?extra-set"},
		{"extra-in=x extra-2nd=y", "", "q1-c, 3 ?extra-2nd+extra-in"},
		{"matchup=one-on-one", "", ", 4 ?matchup"},        // help is not tagged of any
		{"", `time_to_beat < 2`, "p1-a, 3 ?time-to-beat"}, // a whole number against seconds
		{"", `down == 3 || set == "jump"`, "p1-a p1-b p2-a, 1 ?down"},
		{"", `"rip" in move || battle == "stalemate"`, "p2-a q1-c"},
		{"", `set == "short" // and nothing else`, "p1-a, 1 ?set"},
		{"", `!("set" in tagged && set == "short")`, "p1-b p2-a q1-c"},
		{"", `tagged.exists(f, f == "set") && tagged.size() > 5 && tagged[0] == "game"`, "p1-a p2-a q1-c"},
		{"", `tagged == ["game"] || (tagged + ["x"]).size() < 2 || "no such" + "fact" in tagged || "tag" + "ged" in tagged`, ""},
		{"", `move[1] == "rip"`, "p2-a, 2 ?move"}, // p1-b has one move only
		{"", `move.exists(m, m.startsWith("up"))`, "p1-a, 1 ?move"},
		{"", `type == "screen"`, "q1-c"},
		{"battle=lost", `play > 1 || set == "short"`, "p2-a, 1 ?set"},
	} {
		t.Run(test.terms+" "+test.where, func(t *testing.T) {
			if got := chosen(t, s, false, test.where, strings.Fields(test.terms)...); got != test.want {
				t.Errorf("got %q, want %q", got, test.want)
			}
		})
	}
}

func TestPlays(t *testing.T) {
	s := load(t)
	for _, test := range []struct{ terms, where, want string }{
		{"", "", "p1 p2 p3 q1 q2"},
		{"type=run", "", "p3, 1 ?type"},
		{"down=1", "", "p3, 3 ?down"},
		{"battle=lost", "", "p1 p2, 2 ?battle"},
		{"battle=lost type=dropback", "", "p1 p2, 1 ?battle+type"}, // p3 is a run, with reps or without
		{"set=short", "", "p1, 2 ?set"},
		{"set=jump", "", "p2, 3 ?set"}, // of p1 one rep has no set, and may be it
		{"", `"rip" in move`, "p2, 3 ?move"},
		{"time-to-release>2", "", "p1, 4 ?time-to-release"},
	} {
		t.Run(test.terms+" "+test.where, func(t *testing.T) {
			if got := chosen(t, s, true, test.where, strings.Fields(test.terms)...); got != test.want {
				t.Errorf("got %q, want %q", got, test.want)
			}
		})
	}
}

// A term and what it lowers to are one: both ways of asking choose the same.
func TestTermsLowerToCEL(t *testing.T) {
	s := load(t)
	r := NewRegistry(s.Vocabulary, s)
	for _, text := range []string{
		"set=short", "set!=short,jump", "move=spin,rip", "moves>=2", "clock<2:00", "time-to-beat<=2",
		"counter!=no", "rusher=91", "inside-counter", "box>6", "date<2026-09-19",
	} {
		term, err := r.parseTerm(text)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := chosen(t, s, false, "", text), chosen(t, s, false, term.cel); a != b {
			t.Errorf("%s chose %q, but %s chose %q", text, a, term.cel, b)
		}
	}
}

func TestErrors(t *testing.T) {
	s := load(t)
	s.Vocabulary.Choices["round"] = choice("about")
	s.Vocabulary.Choices["about"] = choice("round")
	s.Vocabulary.Choices["stale"] = choice("set=gone")
	s.Vocabulary.Choices["our-ends"] = choice("align=5,9")
	for _, test := range []struct {
		term, where string
		offset      int
		says        string
	}{
		{"sett=short", "", 0, `unknown key "sett"; did you mean "set"?`},
		{"set=shrt", "", 4, `unknown set "shrt"; did you mean "short"?`},
		{"set=short,jmp", "", 10, `unknown set "jmp"; did you mean "jump"?`},
		{"set=ʻokina,jmp", "", 4, `unknown set "ʻokina"`},
		{"opponent=ʻO set=jmp", "", -1, ""},
		{"set=", "", 4, `set has no value here; want one of vertical,`},
		{"set==short", "", 4, `one = too many`},
		{"set!short", "", 3, `"!" is no operator`},
		{"set>=short", "", 3, `set is no number, so >= means nothing`},
		{"down=three", "", 5, `down "three" is not a number`},
		{"down=1.5", "", 5, `down "1.5" is not a whole number`},
		{"down=3s", "", 5, `down "3s" is not a number`},
		{"time-to-beat<inf", "", 13, `is not a number`},
		{"clock<2", "", 6, `clock "2" is not minutes and seconds; write it as 2:00`},
		{"counter=maybe", "", 8, `counter "maybe" is not yes or no`},
		{"rusher=marlo", "", 7, `no rusher goes by "marlo"`},
		{"rusher=Teo Marlw", "", 7, `did you mean "Teo Marlow"?`},
		{"short", "", 0, `"short" is neither key=value nor a named choice; did you mean set=short?`},
		{"double", "", 0, `did you mean help=double or block=double?`},
		{"55", "", 0, `rusher "55" is both #55 Ike Okafor and #55 Sol Adeyemi; want rusher=b or rusher=c`},
		{"rusher=Marlow,55", "", 14, `rusher "55" is both #55 Ike Okafor and #55 Sol Adeyemi; want rusher=b or rusher=c`},
		{"", `down == 3 && "55" in rusher`, 13, `rusher "55" is both #55 Ike Okafor and #55 Sol Adeyemi`},
		{"7", "", 0, `"7" is neither key=value nor a named choice; did you mean align=7?`},
		{"set=spin", "", 4, `unknown set "spin"; "spin" is a word of move`},
		{"call=\"Trips, Right", "", 5, `the quote is not closed`},
		{"call=a,\"b\"c", "", 7, `something stands behind the quoted value`},
		{"set", "", 0, `want a value: set=vertical`},
		{"inside-countr", "", 0, `did you mean "inside-counter"?`},
		{"round", "", 0, `stands for itself`},
		{"stale", "", 4, `in the vocabulary's choice "stale": unknown set "gone"`},
		{"", `sett == "short"`, 0, `unknown name "sett"; did you mean "set"?`},
		{"", `down == 3 && set == short`, 20, `unknown name "short"; a word stands in quotes: set == "short"`},
		{"", `time-to-beat < 2`, 0, `write time_to_beat for time-to-beat`},
		{"", `down == "3"`, 5, `== does not go with a number and text`},
		{"", `move == "spin"`, 5, `look into a list with in: "spin" in move`},
		{"", `down`, 0, `the expression gives a number, not yes or no`},
		{"", `down ==`, 7, `it ends too early`},
		{"", `true) || (true`, 4, `not an expression`},
		{"", `inside-counter`, 0, `write inside_counter for inside-counter`},
		{"", `our-ends`, 0, `our-ends is a term by itself, outside --where`},
	} {
		t.Run(test.term+test.where, func(t *testing.T) {
			var terms []string
			if test.term != "" {
				terms = []string{test.term}
			}
			_, err := Parse(terms, test.where, s.Vocabulary, s)
			if test.offset < 0 {
				if err != nil {
					t.Errorf("got %v, want none: any text may stand there", err)
				}
				return
			}
			var es Errors
			if !errors.As(err, &es) {
				t.Fatalf("got %v, want Errors", err)
			}
			found := false
			for _, e := range es {
				found = found || e.Offset == test.offset && strings.Contains(e.Error(), test.says)
			}
			if !found {
				t.Errorf("got %v, want %q at %d", err, test.says, test.offset)
			}
		})
	}
}

func choice(terms ...string) tags.Choice {
	var c tags.Choice
	for _, text := range terms {
		c.Terms = append(c.Terms, tags.Term{Text: text})
	}
	return c
}

// A number that is a player's and an alignment too may mean either.
func TestNumberOrAlignment(t *testing.T) {
	s := load(t)
	s.Games[0].People["b"].Jersey = "9"
	_, err := Parse([]string{"9"}, "", s.Vocabulary, s)
	if want := `"9" may be rusher=9 or align=9; write which is meant`; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
	if got := chosen(t, s, false, "", "rusher=9"); got != "p1-b" {
		t.Errorf("rusher=9 chose %q", got)
	}
}

// Games may know one player by several ids; two players of one name are two.
func TestOnePlayerOfSeveralIDs(t *testing.T) {
	s := load(t)
	c := s.Games[1].People["c"]
	c.Name, c.Jersey = "Teo Marlow", "91"
	if got := chosen(t, s, false, "", "rusher=Marlow"); got != "p1-a p2-a q1-c" {
		t.Errorf("one player is %q", got)
	}
	c.Jersey = "55"
	_, err := Parse([]string{"rusher=Marlow"}, "", s.Vocabulary, s)
	if want := `rusher "Marlow" is both #91 Teo Marlow and #55 Teo Marlow; want rusher=a or rusher=c`; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestEveryErrorAtOnce(t *testing.T) {
	s := load(t)
	_, err := Parse([]string{"sett=short", "down=3", "move=spinn"}, "down ==", s.Vocabulary, s)
	var es Errors
	if !errors.As(err, &es) || len(es) != 3 {
		t.Fatalf("got %v, want 3 errors", err)
	}
	want := "unknown key \"sett\"; did you mean \"set\"?\n    sett=short\n    ^"
	if got := es[0].Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestString(t *testing.T) {
	s := load(t)
	for _, test := range []struct{ terms, where, want string }{
		{"", "", "everything"},
		{"inside-counter set=short", "", "inside counter, short set"},
		{"set=short,jump", "", "short or jump set"},
		{"set!=short", "", "not short set"},
		{"down=3 distance>=7 distance<=10 moves>1 time-to-beat<2.5", "", "3rd down, at least 7 to go, at most 10 to go, moves over 1, beat him in under 2.5 s"},
		{"one-on-one=yes counter=no", "", "one on one, not counter"},
		{"counter!=yes", "", "not counter"},
		{"rusher=91", "", "#91 Teo Marlow"},
		{"91", "", "#91 Teo Marlow"},
		{"sacks set=shorts", "", "sack, short set"},
		{"set=short", "down == 3", "short set, down == 3"},
	} {
		q, err := Parse(strings.Fields(test.terms), test.where, s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		if got := q.String(); got != test.want {
			t.Errorf("%s %s: got %q, want %q", test.terms, test.where, got, test.want)
		}
	}
}

func TestByTerm(t *testing.T) {
	s := load(t)
	terms := []string{"set=jump", "front=ovr", "type=run"}
	q, err := Parse(terms, "", s.Vocabulary, s)
	if err != nil {
		t.Fatal(err)
	}
	for plays, want := range map[bool][]TermCount{
		false: {{"set=jump", 1, ""}, {"front=ovr", 0, `did you mean "over"?`}, {"type=run", 0, ""}},
		true:  {{"set=jump", 1, ""}, {"front=ovr", 0, `did you mean "over"?`}, {"type=run", 1, ""}},
	} {
		got, err := q.ByTerm(s, plays)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("plays %t (-want +got):\n%s", plays, diff)
		}
	}
}

// Every fact must have the type it is declared with, a name CEL takes, and stand being
// asked of a rep and of a play that know nothing.
func TestFacts(t *testing.T) {
	s := load(t)
	bare := &tags.Play{Game: &tags.Game{}}
	known := 0
	registry := NewRegistry(s.Vocabulary, s)
	for _, f := range registry.Facts {
		if f.Doc == "" {
			t.Errorf("%s has no doc", f.Name)
		}
		if got, ok := registry.Find(f.Name); !ok || got.Name != f.Name {
			t.Errorf("%s cannot be found", f.Name)
		}
		if _, err := Parse(nil, fmt.Sprintf("%s == %[1]s", f.CEL()), s.Vocabulary, s); err != nil {
			t.Errorf("%s: CEL does not take %s: %v", f.Name, f.CEL(), err)
		}
		if _, ok := f.OfPlayAlone(bare); ok && !f.OfPlay {
			t.Errorf("%s is known of a play without a rep", f.Name)
		}
		for _, r := range s.Reps() {
			value, ok := f.OfRep(r)
			if !ok {
				continue
			}
			known++
			fits := false
			switch value.(type) {
			case string:
				fits = f.Kind == Word || f.Kind == Date
			case bool:
				fits = f.Kind == YesNo
			case int64:
				fits = f.Kind == Clock || f.Kind == Number && f.whole
			case float64:
				fits = f.Kind == Seconds || f.Kind == Number && !f.whole
			case []string:
				fits = f.Kind == List || f.Kind == Person
			}
			if !fits {
				t.Errorf("%s is a %s, but gives %T", f.Name, f.Kind, value)
			}
			if words := registry.words(f); words != nil && f.Kind == Word {
				if _, ok := registry.word(f, value.(string)); !ok {
					t.Errorf("%s gives %q, which no term may ask for", f.Name, value)
				}
			}
		}
	}
	if known < 100 {
		t.Errorf("only %d facts were known: the season tests too little", known)
	}
}

func TestValues(t *testing.T) {
	s := load(t)
	registry := NewRegistry(s.Vocabulary, s)
	for name, want := range map[string]string{
		"set": "vertical angle short jump", "front": "over", "counter": "yes no", "family": "power speed hands change",
		"rusher": "55 91 Ike Okafor Sol Adeyemi Teo Marlow a b c", "box": "6 7.5", "clock": "11:32 1:05",
	} {
		f, ok := registry.Find(name)
		if !ok {
			t.Fatalf("no fact %s", name)
		}
		if got := strings.Join(registry.Values(f), " "); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
}

func BenchmarkReps(b *testing.B) {
	s := load(b)
	for _, terms := range []string{"inside-counter set=short", "tagged!=set"} {
		b.Run(terms, func(b *testing.B) {
			q, err := Parse(strings.Fields(terms), "", s.Vocabulary, s)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				q.Reps(s)
			}
		})
	}
}

// What the room reads holds no query syntax, no id and no name of the program's own.
func TestWords(t *testing.T) {
	s := load(t)
	for _, test := range []struct{ terms, where, want string }{
		{"", "", "Everything"},
		{"job=rush,penetrator,looper rusher=91", "", "Pass rush, #91 Teo Marlow"},
		{"down-class=third-long set=short", "", "Third and long, short set"},
		{"stunt=tackle-end", "", "T/E stunt"},
		{"won=no", "", "Not won"},
		{"help=none", "", "No help"},
		{"help!=none", "", "With help"},
		{"sequence=long-arm>up-and-under", "", "Long arm, then up and under"},
		{"sequence=bull>rip/through", "", "Bull, then rip through"},
		{"time-to-beat<=2.5", "", "Beat him in at most 2.5 s"},
		{"time-to-beat<=2.5s", "", "Beat him in at most 2.5 s"},
		{"time-to-getoff<0.3", "", "Get-off in under 0.3 s"},
		{"time-to-beat=1.9", "", "Beat him in 1.9 s"},
		{"third-down", "", "Third down"},
		{"kind!=scout", "", "Not scout film"},
		{"strength-side=strong", "", "Strong side"},
		{"contain=kept", "", "Kept contain"},
		{"rep=p-p001-91", "", "#91 Teo Marlow on play 1, against Harbor State 2026-09-12"},
		{"distance>=7", "", "At least 7 to go"},
		{"battle!=won", "", "Battle not won"},
		{"won", "", "Won"},
		{"battle=won,lost", "", "Battle won or lost"},
		{"set=short", `size(read_missed) > 0`, "Short set, chosen by a condition"},
		{"", `size(read_missed) > 0`, "Chosen by a condition"},
	} {
		q, err := Parse(strings.Fields(test.terms), test.where, s.Vocabulary, s)
		if err != nil {
			t.Fatal(err)
		}
		if got := q.Words(); got != test.want {
			t.Errorf("%s %s: got %q, want %q", test.terms, test.where, got, test.want)
		}
	}
	registry := NewRegistry(s.Vocabulary, s)
	for name := range roomForms {
		if _, ok := registry.Find(name); !ok {
			t.Errorf("%s is said in its own words, and no fact", name)
		}
	}
}
