package query

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags"
)

// staffed is a vocabulary with a staff's own words and reads.
func staffed(t *testing.T, words, reads string) *tags.Vocabulary {
	t.Helper()
	dir := t.TempDir()
	write := func(name, text string) []string {
		if text == "" {
			return nil
		}
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte("trenchcut: 1\n"+text), 0o600); err != nil {
			t.Fatal(err)
		}
		return []string{file}
	}
	v, faults, err := tags.LoadVocabulary(tags.StaffFiles{Vocabulary: write("w.yaml", words), Reads: write("r.yaml", reads)})
	if err != nil || faults != nil {
		t.Fatal(err, faults)
	}
	return v
}

// seasonOf is a season of one rep, in the words of v.
func seasonOf(t *testing.T, v *tags.Vocabulary, play, rep string) *tags.Season {
	t.Helper()
	g, faults := tags.ParseGame("x.game.yaml", []byte(`trenchcut: 1
game: {id: x}
people:
  a: {name: Teo Marlow, team: us, jersey: 91}
  still: {jersey: 12}
  runner: {jersey: 8, traits: {runs: yes}}
plays: [{play: 1, `+play+` reps: [`+rep+`]}]
`), v)
	if faults.Grave() > 0 {
		t.Fatal(faults)
	}
	return &tags.Season{Games: []*tags.Game{g}, Vocabulary: v}
}

// told is what the facts of reads say of the only rep: "short-set taken short-set missed",
// ? where it is not known.
func told(t *testing.T, s *tags.Season) string {
	t.Helper()
	registry := NewRegistry(s.Vocabulary, s)
	var parts []string
	for i, name := range readFacts {
		f, ok := registry.Find(name)
		if !ok {
			t.Fatalf("no fact %s", name)
		}
		said := "?"
		if value, ok := f.OfRep(s.Reps()[0]); ok {
			said = f.Format(value)
		}
		parts = append(parts, strings.TrimSpace([]string{"", "taken ", "missed "}[i]+said))
	}
	return strings.Join(parts, " ")
}

// The reads of the templates are the table "he sees | it usually gives" (common practice).
func TestTemplateReads(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	shown := map[string]bool{}
	for _, c := range []struct{ play, blocker, rest, want string }{
		{"", "set: short", "help: none, move: bull", "short-set taken missed short-set"},
		{"", "set: short", "help: none, move: chop-swim", "short-set taken short-set missed"},
		{"", "hands: late, who: a", "help: none, saw: [sat], move: swipe>spin", "short-set taken short-set missed"},
		{"", "set: short", "help: none, gap: B", "short-set taken ? missed ?"}, // no move
		{"", "set: short", "help: none, taken: not-his-job", "short-set taken missed"},
		{"", "set: short, lean: forward", "help: none, move: bull", "leaning taken missed leaning"},
		{"", "set: jump", "help: none, saw: [sat], move: bull", "jump-set taken missed jump-set"}, // no quick hands at a sitter: he attacks
		{"", "set: jump", "help: none, move: chop-swim", "jump-set taken jump-set missed"},
		{"", "set: jump", "help: none, move: dip", "jump-set taken jump-set missed"},
		{"", "set: jump", "help: none, move: spin", "jump-set taken missed jump-set"},
		{"", "set: vertical", "help: none, move: dip", "vertical-set taken missed vertical-set"},
		{"", "set: vertical", "help: none, move: speed-to-power", "vertical-set taken vertical-set missed"},
		{"", "set: vertical", "help: none, move: long-arm>rip", "vertical-set taken vertical-set missed"},
		{"", "set: vertical", "help: none, saw: [qb-depth-reached], move: dip>spin", "qb-depth taken qb-depth missed"},
		{"", "set: vertical", "help: none, saw: [qb-depth-reached], move: dip>spin/outside", "qb-depth taken missed qb-depth"},
		{"", "set: vertical", "help: none, saw: [qb-depth-reached], contain: kept, move: dip", "? taken ? missed ?"},
		{"", "set: angle", "help: none, saw: [qb-depth-reached], move: dip>rip/inside", "qb-depth taken qb-depth missed"},
		{"", "set: angle", "help: none, saw: [shoulders-turned], move: dip", "overset taken missed overset"},
		{"", "set: vertical", "help: none, saw: [overset], move: dip", "overset taken missed overset"},
		{"", "set: angle", "help: none, saw: [shoulders-turned], move: spin", "overset taken overset missed"},
		{"", "set: angle", "help: none, saw: [shoulders-turned], contain: kept, move: dip", "? taken ? missed ?"}, // the edge is his
		{"", "set: angle", "help: none, saw: [running-for-width], move: speed-to-power", "running-for-width taken running-for-width missed"},
		{"", "set: angle", "help: none, saw: [running-for-width], move: drop-step", "running-for-width taken running-for-width missed"},
		{"", "set: angle", "help: none, saw: [running-for-width], move: dip", "running-for-width taken missed running-for-width"},
		{"", "set: angle", "help: none, saw: [arms-extended], move: swipe", "arms-extended taken arms-extended missed"},
		{"", "set: angle", "help: none, saw: [arms-extended], move: bull", "arms-extended taken missed arms-extended"},
		{"", "set: angle", "help: none, saw: [leaning], move: bull-and-pull", "leaning taken leaning missed"},
		{"", "set: angle, lean: forward", "help: none, move: bull", "leaning taken missed leaning"},
		{"", "set: angle, hands: low", "help: none, move: arm-over", "hands-low taken hands-low missed"},
		{"", "set: angle, hands: low", "help: none, move: rip", "hands-low taken missed hands-low"},
		{"", "set: angle, hands: low", "help: none, saw: [hands-high], move: rip", "? taken ? missed ?"}, // which of the two is not known
		{"", "set: angle, hands: high", "help: none, move: rip", "hands-high taken hands-high missed"},
		{"", "set: angle, hands: high", "help: none, move: long-arm", "hands-high taken hands-high missed"},
		{"", "set: angle, hands: high", "help: none, move: chop-swim", "hands-high taken missed hands-high"},
		{"", "set: short, hands: high", "help: none, move: rip", "short-set hands-high taken short-set hands-high missed"},
		{"", "set: short, hands: high", "help: none, move: bull", "short-set hands-high taken hands-high missed short-set"},
		{"", "set: short, hands: high", "help: none, move: bull, taken: no", "short-set hands-high taken missed short-set hands-high"},
		// Who was in the way: help that is not tagged is not known, and a helped rush has rules of its own.
		{"", "set: short", "move: bull", "? taken ? missed ?"},
		{"", "set: short", "help: double, move: bull", "? taken ? missed ?"},
		{"", "set: short, hands: high, lean: forward", "help: chip-rb, saw: [sat, arms-extended], move: dip", "? taken ? missed ?"},
		{"", "set: short", "help: none, stunt: tackle-end, move: bull", " taken missed"},
		{"", "set: vertical", "help: chip-te, move: bull", "wide-chip taken wide-chip missed"},
		{"", "set: vertical", "help: chip-te, move: rip/through", "wide-chip taken wide-chip missed"},
		{"", "set: vertical", "help: chip-te, move: dip", "wide-chip taken missed wide-chip"},
		{"qb: runner,", "set: angle", "contain: kept, move: dip", "qb-runs taken qb-runs missed"},
		{"qb: runner,", "set: angle", "job: contain, move: spin", "qb-runs taken missed qb-runs"},
		{"qb: runner,", "set: angle", "contain: had, job: penetrator, stunt: pirate, move: spin", " taken missed"}, // a looper replaces him
		{"qb: still,", "set: angle", "contain: had, move: spin", "? taken ? missed ?"},
		{"type: run,", "block: double", "move: bull", "double-team taken double-team missed"},
	} {
		rep := "{rusher: a, battle: lost, blocker: {" + c.blocker + "}, " + c.rest + "}"
		got := told(t, seasonOf(t, v, c.play, rep))
		if got != c.want {
			t.Errorf("%s %s: %q, want %q", c.play, rep, got, c.want)
		}
		// Who won has missed nothing.
		won := told(t, seasonOf(t, v, c.play, strings.Replace(rep, "battle: lost", "battle: won", 1)))
		if before, _, _ := strings.Cut(c.want, " missed"); won != before+" missed" && won != before+" missed ?" {
			t.Errorf("%s %s, but won: %q", c.play, rep, won)
		}
		for name := range strings.FieldsSeq(got) {
			shown[name] = true
		}
	}
	for _, name := range v.ReadNames() {
		if !shown[name] {
			t.Errorf("no rep here has the read %s", name)
		}
	}
	faults, err := Check(v, &tags.Season{Vocabulary: v})
	if err != nil || faults != nil {
		t.Errorf("the templates have faults: %v, %v", err, faults)
	}
}

// withoutOurs leaves out every read of the templates.
const withoutOurs = "without: [short-set, jump-set, vertical-set, overset, running-for-width, leaning, arms-extended, hands-low, hands-high, qb-depth, wide-chip, qb-runs, double-team]\n"

// A read of which nothing is open is known not to be there.
func TestNoReadIsKnown(t *testing.T) {
	v := staffed(t, "", withoutOurs+"reads: {only: {when: set=short, answers: [{path: inside}]}}")
	if got := told(t, seasonOf(t, v, "", "{rusher: a, battle: won, blocker: {set: jump}, move: bull}")); got != " taken missed" {
		t.Errorf("got %q, want three lists known to be empty", got)
	}
	s := seasonOf(t, v, "", "{rusher: a, battle: won, blocker: {set: jump}}")
	for _, term := range []string{"read!=only", "read-missed!=only"} {
		if got := chosen(t, s, false, "", term); got != "x1-a" {
			t.Errorf("%s: %q", term, got)
		}
	}
}

// Of a read of which the tags do not say whether it was there, it is not known whether it is among
// those that were, though another was.
func TestOpenReadAmongOthers(t *testing.T) {
	v := staffed(t, "", withoutOurs+"reads: {there: {when: set=short, answers: [{path: inside}]}, open: {when: hands=high, answers: [{path: inside}]}}")
	const open = ", 1 ?read"
	for _, c := range []struct{ rep, term, want string }{
		{"move: bull, battle: lost", "read=there", "x1-a"},
		{"move: bull, battle: lost", "read!=there", ""},
		{"move: bull, battle: lost", "read=open", open},
		{"move: bull, battle: lost", "read!=open", open},
		{"move: bull, battle: lost", "read-missed!=open", open},
		{"move: bull, battle: lost", "read-taken!=open", "x1-a"}, // whatever he saw, the bull is no answer
		{"move: spin, battle: lost", "read-taken!=open", open},
		{"move: bull, battle: won", "read-missed!=open", "x1-a"},
	} {
		s := seasonOf(t, v, "", "{rusher: a, blocker: {set: short}, "+c.rep+"}")
		if got := chosen(t, s, false, "", c.term); got != c.want {
			t.Errorf("%s: %s chose %q, want %q", c.rep, c.term, got, c.want)
		}
	}
	s := seasonOf(t, v, "", "{rusher: a, blocker: {set: short}, move: bull, battle: lost}")
	for where, want := range map[string]string{
		`read.exists(r, r == "there")`: "x1-a",
		`read.exists(r, r == "open")`:  open,
		`!read.exists(r, r == "open")`: open,
		`read.all(r, r == "there")`:    open,
		`read.all(r, r == "open")`:     "",
		`read == ["there"]`:            open,
		`read != []`:                   "x1-a",
		`size(read) > 0`:               "x1-a",
		`size(read_taken) == 0`:        "x1-a",
		`read_taken == []`:             "x1-a",
	} {
		if got := chosen(t, s, false, where); got != want {
			t.Errorf("%s chose %q, want %q", where, got, want)
		}
	}
	v = staffed(t, "", withoutOurs+"reads: {there: {when: set=short, answers: [{path: inside}]}, open: {when: hands=high, answers: [{path: through}]}}")
	s = seasonOf(t, v, "", "{rusher: a, blocker: {set: short}, move: spin, battle: lost}") // which may have missed open alone
	for _, where := range []string{"size(read_missed) > 0", "size(read_missed) == 0", "read_missed == []", `!read_missed.exists(r, r != "")`} {
		if got := chosen(t, s, false, where); got != open {
			t.Errorf("%s chose %q, want %q", where, got, open)
		}
	}
}

// Words a staff renames, and aliases, mean the same in reads, terms and CEL.
func TestRenamedWordsInReads(t *testing.T) {
	v := staffed(t, "words: {set: [{soft: {also: [short]}}], move: [{stab: {also: [long-arm]}}]}", "")
	s := seasonOf(t, v, "", "{rusher: a, battle: lost, help: none, blocker: {set: short, hands: high}, move: long-arm}")
	if got := told(t, s); got != "short-set hands-high taken hands-high missed short-set" {
		t.Errorf("reads are %q", got)
	}
	for _, where := range []string{
		`set == "short"`, `set == 'soft'`, `"short" == set`, `set in ["jump", "short"]`, `"long-arm" in move`,
		`set != "jump" && "stab" in move && first_move == "long-arm"`,
		`"ʻ" != "x" && set == "short" && "long-arm" in move // "ʻ"`, `set == "\u0073hort" || true`,
	} {
		if got := chosen(t, s, false, where); got != "x1-a" {
			t.Errorf("%s chose %q", where, got)
		}
	}
}

func TestWordsInCEL(t *testing.T) {
	s := load(t)
	for _, c := range []struct {
		where  string
		offset int
		says   string
	}{
		{`set == "shrt"`, 7, `unknown set "shrt"; did you mean "short"?`},
		{`down == 3 && set in ["short", "jmp"]`, 30, `unknown set "jmp"; did you mean "jump"?`},
		{`"spinn" in move`, 0, `unknown move "spinn"; did you mean "spin"?`},
		{"down == 3 &&\n  set != \"shrt\"", 9, `unknown set "shrt"`},
		{`!("sett" in tagged)`, 2, `unknown tagged "sett"; did you mean "set"?`},
		{`read == "overset"`, -1, ""},
		{`"oversett" in read`, 0, `unknown read "oversett"; did you mean "overset"?`},
		{`front == "ovr"`, -1, ""}, // any text may stand there
		{`rusher.exists(r, r == "nobody")`, -1, ""},
	} {
		_, err := Parse(nil, c.where, s.Vocabulary, s)
		es, _ := err.(Errors) //lint:ignore errorlint Parse gives Errors themselves
		switch {
		case c.offset < 0:
			for _, e := range es {
				if strings.Contains(e.What, "unknown") {
					t.Errorf("%s: %v", c.where, e)
				}
			}
		case len(es) != 1 || es[0].Offset != c.offset || !strings.Contains(es[0].Error(), c.says):
			t.Errorf("%s: got %v, want %q at %d", c.where, err, c.says, c.offset)
		}
	}
}

func TestCheck(t *testing.T) {
	v := staffed(t, `choices:
  typo: sett=short  down=3
  value: set=shrt
  stranger: rusher=Nobody Here
  persons: [rusher=Nobody Here]
  column: coverage-shell=two-high
  loop: about
  about: loop
  nested: value set=short
  empty:
  reads: read=overset
`, `reads:
  recursion: {when: read-missed=overset, answers: [{path: inside}]}
  cel-recursion: {where: '"overset" in read_taken', answers: [{path: inside}]}
  through-choice: {when: reads, answers: [{path: inside}]}
  typo: {where: 'dwn == 3', answers: [{path: inside}]}
  word: {where: 'set == "shrt"', answers: [{path: inside}]}
  column: {where: 'coverage_shell == "two-high"', answers: [{path: inside}]}
  kind: {where: 'down', answers: [{path: inside}]}
`)
	s := seasonOf(t, v, "", "{rusher: a, battle: won}")
	faults, err := Check(v, s)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range faults {
		f.Pos.File = filepath.Base(f.Pos.File)
		got = append(got, f.Error())
	}
	want := []string{
		`r.yaml:3:21: a read asks about read-missed, which hangs on the reads; name what he sees instead`,
		`r.yaml:4:40: a read asks about read-taken, which hangs on the reads; name what he sees instead`,
		`r.yaml:5:26: a read asks about read, which hangs on the reads; name what he sees instead`,
		`r.yaml:6:18: unknown name "dwn"; did you mean "down"?`,
		`r.yaml:7:25: unknown set "shrt"; did you mean "short"?`,
		`r.yaml:8:20: warning: unknown name "coverage_shell", and no game read here has such a column`,
		`r.yaml:9:18: the expression gives a number, not yes or no; compare it, such as down == 3`,
		`w.yaml:3:9: unknown key "sett"; did you mean "set"?`,
		`w.yaml:4:14: unknown set "shrt"; did you mean "short"?`,
		`w.yaml:5:27: "Here" is neither key=value nor a named choice; such as about, blitz, column, empty, finesse, loop, nested, one-blocker, persons, reads, red-zone, stranger …`,
		`w.yaml:7:11: warning: unknown key "coverage-shell", and no game read here has such a column`,
		`w.yaml:8:9: in the vocabulary's choice "about": the choice "loop" of the vocabulary stands for itself`,
		`w.yaml:9:10: in the vocabulary's choice "loop": the choice "about" of the vocabulary stands for itself`,
		`w.yaml:11:3: choice empty has no terms: want empty: counter=yes path=inside`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	// Whom no game knows is met by nobody, but asking for him by a choice is no mistake.
	if got := chosen(t, s, false, "", "persons"); got != "" {
		t.Errorf("nobody is %q", got)
	}
	// A read with a fault is not there, and hides no other.
	s = seasonOf(t, v, "", "{rusher: a, battle: won, help: none, blocker: {set: short}, move: swipe}")
	if got := told(t, s); got != "short-set taken short-set missed" {
		t.Errorf("reads are %q", got)
	}
}

// A choice and the fact of the same name are one thing.
func TestChoicesAreTheirFacts(t *testing.T) {
	s := load(t)
	for _, name := range []string{"inside-counter", "combination"} {
		a, b := chosen(t, s, false, "", name), chosen(t, s, false, "", name+"=yes")
		if a, _, _ = strings.Cut(a, ","); !strings.HasPrefix(b, a+",") || a == "" {
			t.Errorf("%s chose %q, as a key %q", name, a, b)
		}
	}
}

func TestCompare(t *testing.T) {
	s := load(t)
	registry := NewRegistry(s.Vocabulary, s)
	for _, c := range []struct {
		fact string
		a, b any // in this order
	}{
		{"outcome", "strip-sack", "hurry"}, // as the vocabulary ranks them
		{"set", "vertical", "angle"},
		{"align", "9", "wide-9"},
		{"down", int64(2), int64(3)},
		{"clock", int64(65), int64(692)},
		{"time-to-beat", 1.9, 2.0},
		{"counter", true, false},
		{"front", "over", "under"},
		{"date", "2026-09-12", "2026-09-19"},
		{"move", []string{"bull"}, []string{"bull", "spin"}},
		{"move", []string{"bull", "spin"}, []string{"dip"}},
		{"rusher", []string{"a", "91"}, []string{"b", "55"}},
		{"down-class", "second-long", "third-short"},
	} {
		f, ok := registry.Find(c.fact)
		if !ok {
			t.Fatalf("no fact %s", c.fact)
		}
		if registry.Compare(f, c.a, c.b) >= 0 || registry.Compare(f, c.b, c.a) <= 0 || registry.Compare(f, c.a, c.a) != 0 {
			t.Errorf("%s: %v does not come before %v", c.fact, c.a, c.b)
		}
	}
}

func TestOccurring(t *testing.T) {
	s := load(t)
	registry := NewRegistry(s.Vocabulary, s)
	for name, want := range map[string]string{
		"set": "vertical 1, short 1, jump 1", "move": "bull 1, long-arm 1, arm-over 1, rip 1, up-and-under 1",
		"counter": "yes 1, no 2", "down": "1 1, 3 1", "clock": "1:05 1, 11:32 1", "team": "us 4",
	} {
		f, _ := registry.Find(name)
		values, counts := registry.Occurring(f)
		var got []string
		for _, value := range values {
			got = append(got, fmt.Sprintf("%s %d", value, counts[value]))
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

// What asks nothing of reads does not compile them.
func TestReadsAreLazy(t *testing.T) {
	s := load(t)
	q, err := Parse([]string{"set=short", "tagged!=saw"}, "", s.Vocabulary, s)
	if err != nil {
		t.Fatal(err)
	}
	rs := newReading(q.registry)
	q.registry.Facts = nil
	q.registry.byName, q.registry.byCEL = map[string]int{}, map[string]int{}
	for _, f := range builtin(rs) {
		q.registry.add(f)
	}
	q.registry.add(q.registry.tagged())
	q.Reps(s)
	if rs.programs != nil {
		t.Error("the reads were compiled, but nothing asked for them")
	}
	f, _ := q.registry.Find("read")
	f.OfRep(s.Reps()[0])
	if rs.programs == nil {
		t.Error("the reads were asked for, but not compiled")
	}
}

// Several cores may ask reads of the same season at once: CEL writes into the errors that
// it is given the first time it meets them, so each judge has its own. Only -race can tell.
func TestReadsOnManyGoroutines(t *testing.T) {
	s := load(t)
	registry := NewRegistry(s.Vocabulary, s)
	together := make([][][]Verdict, 8)
	var group sync.WaitGroup
	for i := range together {
		group.Go(func() {
			for _, r := range s.Reps() {
				together[i] = append(together[i], registry.ReadsThere(r))
			}
		})
	}
	group.Wait()
	unknown := 0
	for i, r := range s.Reps() {
		alone := registry.ReadsThere(r)
		for _, said := range alone {
			if said == Unknown {
				unknown++
			}
		}
		for _, of := range together {
			if diff := cmp.Diff(alone, of[i]); diff != "" {
				t.Errorf("%s (-alone +together):\n%s", r.Name(), diff)
			}
		}
	}
	if unknown == 0 {
		t.Error("every read of every rep is known: nothing was met that CEL writes into")
	}
}

// The verdict of each read is told apart, also where another was there for certain.
func TestReadsThere(t *testing.T) {
	v := staffed(t, "", withoutOurs+`reads:
  there:   {when: set=short, answers: [{path: [inside]}], why: x}
  absent:  {when: set=jump, answers: [{path: [inside]}], why: x}
  unknown: {when: hands=high, answers: [{path: [inside]}], why: x}
`)
	s := seasonOf(t, v, "type: dropback,", "{rusher: a, blocker: {set: short}, move: [bull], battle: won}")
	got := NewRegistry(v, s).ReadsThere(s.Reps()[0])
	if want := []Verdict{Holds, Fails, Unknown}; !cmp.Equal(got, want) {
		t.Error(v.ReadNames(), cmp.Diff(want, got))
	}
}

func BenchmarkReadFacts(b *testing.B) {
	s := load(b)
	f, _ := NewRegistry(s.Vocabulary, s).Find("read-missed")
	reps := s.Reps()
	for b.Loop() {
		for _, r := range reps {
			f.OfRep(r)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(reps)), "ns/rep")
}

// No rep has two reads with contrary answers: whatever is tagged of what he saw, one move on
// one way takes every read that is there.
func TestReadsAgree(t *testing.T) {
	v, err := tags.DefaultVocabulary()
	if err != nil {
		t.Fatal(err)
	}
	s := seasonOf(t, v, "qb: runner,", "{rusher: a, battle: lost}")
	still := seasonOf(t, v, "qb: still,", "{rusher: a, battle: lost}")
	registry := NewRegistry(v, s)
	var saws [][]string
	words := v.List("saw").Names()
	for i := range 1 << len(words) {
		var saw []string
		for k, w := range words {
			if i>>k&1 == 1 {
				saw = append(saw, w)
			}
		}
		saws = append(saws, saw)
	}
	sets := append(v.List("set").Names(), "")
	together := map[string][]tags.Read{}
	like := map[string]string{}
	judge := func(r *tags.Rep) {
		var there []tags.Read
		name := ""
		for i, said := range registry.ReadsThere(r) {
			if said == Holds {
				there = append(there, v.Reads[i])
				name += " " + v.Reads[i].Name
			}
		}
		together[name] = there
		like[name] = fmt.Sprintf("set %s hands %s lean %s help %s contain %s saw %v", r.Set, r.Hands, r.Lean, r.Help, r.Contain, r.Saw)
	}
	for _, play := range []*tags.Play{s.Plays()[0], still.Plays()[0]} {
		for _, set := range sets {
			for _, hands := range []string{"high", "low", ""} {
				for _, lean := range []string{"forward", ""} {
					for _, saw := range saws {
						for _, help := range []string{"none", "chip-te"} {
							for _, contain := range []string{"", "kept"} {
								r := *play.Reps[0]
								r.Set, r.Hands, r.Lean, r.Saw, r.Help, r.Contain = set, hands, lean, saw, help, contain
								judge(&r)
							}
						}
					}
				}
			}
		}
	}
	if len(together) < 50 {
		t.Fatalf("only %d sets of reads came about: the test proves little", len(together))
	}
	for name, there := range together {
		if !takesAll(v, s.Reps()[0], there) {
			t.Errorf("no one move takes all of%s, which are there with %s", name, like[name])
		}
	}
}

// takesAll reports whether a rush of one move takes every read.
func takesAll(v *tags.Vocabulary, like *tags.Rep, reads []tags.Read) bool {
	for _, w := range v.List("move").Words {
		for _, path := range v.List("path").Names() {
			r := *like
			r.Moves = []tags.Move{{Name: w.Name, Path: path}}
			if _, others, _ := r.Answered(reads); len(others) == 0 {
				return true
			}
		}
	}
	return false
}
