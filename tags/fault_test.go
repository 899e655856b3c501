package tags

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write what is got into the golden files")

// golden compares got with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s: %s", name, diff)
	}
}

// Every fault of one file is reported in one go, each at its place.
func TestAllFaultsAtOnce(t *testing.T) {
	const file = "testdata/faults.game.yaml"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	g, faults := ParseGame(file, data, vocabulary(t))
	golden(t, "faults.golden", faults.Error()+"\n")
	seen := map[Fault]bool{}
	lines := bytes.Count(data, []byte("\n"))
	for _, f := range faults {
		if seen[f] {
			t.Errorf("fault is told twice: %v", f)
		}
		seen[f] = true
		if f.Pos.File != file || f.Pos.Line < 1 || f.Pos.Line > lines || f.Pos.Column < 1 {
			t.Errorf("fault %v has no place in the file", f)
		}
	}
	// One bad rep never hides another: what is right is there.
	if got := len(g.Plays[0].Reps); got != 12 {
		t.Errorf("%d reps of the first play are read, want 12", got)
	}
	for _, p := range g.Plays {
		for _, r := range p.Reps {
			_ = r.Name() + r.Sequence()
		}
	}
}

// One slip is one fault: what follows from it is not told as well.
func TestOneSlipIsOneFault(t *testing.T) {
	const at = "in: 1s, out: 9s"
	for _, play := range []string{
		"{play: x, " + at + "}",
		"{" + at + "}",
		"{play: 1, in: 1z, out: 9s}",
		"{play: 1, in: {}, out: 9s}",
		"{play: 1, angles: {endzoen: {" + at + "}}}",
		"{play: 1, " + at + ", reps: [oke bull wonn]}",
		"{play: 1, " + at + ", reps: [{rusher: oke, battle: wonn}]}",
		"{play: 1, " + at + ", reps: [{rusher: okke, battle: won}, oke won]}",
		"{play: 1, " + at + ", reps: [{rusher: [oke], battle: won}]}",
		"{play: 1, " + at + ", reps: [{battle: won}]}",
		"{play: 1, " + at + ", reps: [9 bull, ]}",
		"{play: 1, " + at + ", loaf: {}}",
		"{play: 1, " + at + ", reps: [{rusher: oke, battle: won, loaf: []}]}",
	} {
		if _, faults := parseText(t, "  - "+play+"\n"); len(faults) != 1 {
			t.Errorf("%s has %d faults:\n%v", play, len(faults), faults)
		}
	}
}

func TestFilmFaults(t *testing.T) {
	const file = "testdata/film.game.yaml"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	g, faults := ParseGame(file, data, vocabulary(t))
	if faults != nil {
		t.Fatalf("faults before the film is known:\n%v", faults)
	}
	minute := Extent{Clock: Clock{Rate: Rate{25, 1}}, Frames: 1500}
	extents := map[string]Extent{
		"/film/ez.mp4": minute, "/film/sl.mp4": minute, "/film/sc.mp4": minute,
		"/film/clip.mp4": {Clock: Clock{Rate: Rate{25, 1}}, Frames: 75},
	}
	golden(t, "film.golden", g.CheckFilm(extents).Error()+"\n")

	// Film that is missing is the caller's fault to tell, and all that depends on it is passed over.
	again, _ := ParseGame(file, data, vocabulary(t))
	for _, f := range again.CheckFilm(nil) {
		if strings.Contains(f.What, "film's frame rate") || strings.Contains(f.What, "end of the film") {
			t.Errorf("with no film known: %v", f)
		}
	}
}

func TestFilesThatAreNoTagFile(t *testing.T) {
	const top = "trenchcut: 1\ngame: {id: x}\n"
	mappingPlaces() // made once, for whatever file first has a key in the wrong place
	// Nine levels of nine aliases: 9^9 values if they were followed.
	bomb := top + "people:\n  a: &a {name: x}\n"
	for c := 'b'; c < 'k'; c++ {
		bomb += fmt.Sprintf("  %c: &%c [%s]\n", c, c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c,", c-1), 9), ","))
	}
	for _, c := range []struct{ name, data, want string }{
		{"empty", "", "x.game.yaml: the tag file is empty"},
		{"spaces", " \n\n", "x.game.yaml: the tag file is empty"},
		{"comment", "# to do\n", "x.game.yaml: the tag file is empty"},
		{"byte order mark alone", "\ufeff", "x.game.yaml: the tag file is empty"},
		{"null", "---\n", "x.game.yaml: the tag file is empty"},
		{"list", "- trenchcut: 1\n", "x.game.yaml:1:1: the tag file is a list, want a mapping of keys to values"},
		{"text", "film\n", `x.game.yaml:1:1: the tag file is "film", want a mapping of keys to values`},
		{"no version", "game: {id: x}\n", `x.game.yaml:1:1: the tag file does not begin with "trenchcut: 1"`},
		{"no game", "trenchcut: 1\n", "x.game.yaml:1:1: the game has no id"},
		{"game without id", "trenchcut: 1\ngame: {us: Cedar Hollow}\nplay: []\n", "x.game.yaml:1:1: the game has no id"},
		{"later version", "trenchcut: 2\ngame: {id: x}\n", "x.game.yaml:1:12: format 2 is not one this program reads; it reads 1"},
		{"no number of a version", "trenchcut: one\ngame: {id: x}\n", `x.game.yaml:1:12: "one" is not a whole number`},
		{"second document", top + "---\ntrenchcut: 1\n", "x.game.yaml:3:1: a second YAML document"},
		{"bad second document", top + "---\n{\n", "x.game.yaml:5:1: not YAML: there is a sign here"},
		{"duplicate key", top + "game: {id: y}\n", `x.game.yaml:3:1: key "game" stands twice in the tag file`},
		{"NUL", "trenchcut: 1\ngame: {id: x\x00}\n", "x.game.yaml:2:13: the tag file holds the character U+0000"},
		{"NUL by escape", "trenchcut: 1\ngame: {id: x, us: \"a\\0\"}\n", "x.game.yaml:2:19: us holds a NUL character"},
		{"escape character", "trenchcut: 1\r\ngame: {id: x} # \x1b[2J\r\n", "x.game.yaml:2:17: the tag file holds the character U+001B"},
		{"not UTF-8", "trenchcut: 1\ngame: {id: x, us: ʻ\xe9}\n", "x.game.yaml:2:20: the tag file holds the byte 0xe9: want UTF-8 text"},
		{"UTF-16", "\xff\xfet\x00r\x00", "x.game.yaml:1:1: the tag file holds the byte 0xff"},
		{"tab", "trenchcut: 1\ngame:\n\tid: x\n", "x.game.yaml:3:1: the line is indented with a tab; indent with spaces"},
		{"unclosed", "trenchcut: 1\ngame: {id: x\n", "x.game.yaml:2:1: not YAML: a { here or above is not closed; want }"},
		{"unclosed on the first line: told where the file ends", "{trenchcut: 1\n", "x.game.yaml:2:1: not YAML: a { here or above is not closed; want }"},
		{"unclosed list", top + "plays: [a\n", "x.game.yaml:3:1: not YAML: a [ here or above is not closed; want ]"},
		{"unclosed quote", "trenchcut: 1\ngame: {id: \"x}\n", "x.game.yaml:2:1: not YAML: a quote here or above is not closed"},
		{"indent", top + "plays:\n  - play: 1\n  out: 2s\n", "x.game.yaml:4:1: not YAML: an item of the list that begins here is not in line"},
		{"deeper indent", top + "plays:\n  - play: 1\n     out: 2s\n", "x.game.yaml:5:1: not YAML: a colon and a space where no key can be"},
		{"two colons", top + "plays:\n  - note: he said: go\n", "x.game.yaml:4:1: not YAML: a colon and a space where no key can be; put text"},
		{"tag", top + "people: !x!y {}\n", "x.game.yaml:3:1: not YAML: found undefined tag handle"},
		{"nothing to close", top + "people: }\n", "x.game.yaml:3:1: not YAML: there is a sign here"},
		{"unknown anchor", "trenchcut: 1\ngame: *g\n", "x.game.yaml:1:1: not YAML: unknown anchor 'g' referenced"},
		{"alias of itself", "trenchcut: 1\ngame: &g {id: *g}\n", "x.game.yaml:2:15: alias *g stands for more than one value: write it out"},
		{"alias of a mapping", top + "people: {a: &a {name: x}, b: *a}\n", "x.game.yaml:3:30: alias *a stands for more than one value: write it out"},
		{"alias bomb", bomb, "x.game.yaml:5:6: person b is a list, want a mapping of keys to values"},
		{"merge key", top + "people: {a: &a {name: x}, b: {<<: *a}}\n", `x.game.yaml:3:31: unknown key "<<" in person b`},
		{"list as key", top + "? [a, b]\n: c\n", "x.game.yaml:3:3: a key of the tag file is not plain text"},
		{"alias as key", top + "people: {&k oke: {name: x}, *k : {}}\n", "x.game.yaml:3:29: a key of people is not plain text"},
		{"deep lists", top + "plays: " + strings.Repeat("[", 1<<20), "exceeded max depth"},
		{"deep mappings", top + "plays: " + strings.Repeat("{a: ", 1<<18), "exceeded max depth"},
		{"deep indents", top + "plays:\n" + strings.Repeat("- ", 1<<18), "exceeded max depth"},
		{"deep, but not too deep", top + "plays: " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000), "play is a list, want a mapping"},
		{"more plays than there are numbers", top + "plays:\n" + strings.Repeat("-\n", 10000), "x.game.yaml:4:1: 10000 plays are more than the 9999 a game may have"},
		{"more reps than players", top + "plays: [{play: 1, reps: [" + strings.Repeat("oke won,", 100) + "]}]", "x.game.yaml:3:25: 100 reps are more than the 99 a play may have"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := vocabulary(t)
			var faults Faults
			objects, size := allocated(func() { _, faults = ParseGame("x.game.yaml", []byte(c.data), v) })
			if !strings.Contains(faults.Error(), c.want) {
				t.Errorf("faults are\n%v\nwant one with\n%s", faults, c.want)
			}
			n := uint64(len(c.data))
			if objects > mostObjects(n) || size > mostBytes(n) {
				t.Errorf("%d bytes of text take %d objects of %d bytes, want at most %d of %d", n, objects, size, mostObjects(n), mostBytes(n))
			}
		})
	}
}

// What editors on other systems write reads as the same game, at the same places.
func TestLineEndsAndByteOrderMark(t *testing.T) {
	const file = "testdata/faults.game.yaml"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	_, want := ParseGame(file, data, vocabulary(t))
	for name, other := range map[string][]byte{
		"CRLF":            bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")),
		"CR":              bytes.ReplaceAll(data, []byte("\n"), []byte("\r")),
		"byte order mark": append([]byte("\ufeff"), data...),
		"no last newline": bytes.TrimSuffix(data, []byte("\n")),
	} {
		_, got := ParseGame(file, other, vocabulary(t))
		if diff := cmp.Diff(want.Error(), got.Error()); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// allocated is how many objects f allocates, and of how many bytes altogether.
func allocated(f func()) (objects, size uint64) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.Mallocs - before.Mallocs, after.TotalAlloc - before.TotalAlloc
}

// mostObjects and mostBytes are what a file of n bytes may take to parse, whatever it holds:
// some for every byte, so that no text makes work that grows faster than it does.
func mostObjects(n uint64) uint64 { return 200 + 4*n }
func mostBytes(n uint64) uint64   { return 64<<10 + 512*n }

// The largest file that is taken, of the smallest nodes there are, costs bounded memory;
// a larger one is not parsed at all.
func TestLargeFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("takes most of a gigabyte")
	}
	huge := bytes.Repeat([]byte("-\n"), 25<<20)
	v := vocabulary(t)
	var faults Faults
	objects, size := allocated(func() { _, faults = ParseGame("x.game.yaml", huge, v) })
	if want := "x.game.yaml: the tag file is larger than 8 MB"; faults.Error() != want {
		t.Errorf("50 MB give %v, want %s", faults, want)
	}
	if objects > 1000 || size > 1<<20 {
		t.Errorf("to refuse 50 MB takes %d objects of %d bytes", objects, size)
	}
	const mb = 1 << 20
	objects, size = allocated(func() { _, faults = ParseGame("x.game.yaml", huge[:mb], v) })
	if len(faults) == 0 {
		t.Error("a list of nothing has no faults")
	}
	// Eight of them must fit where a video coordinator's laptop has two gigabytes to spare.
	if objects > mostObjects(mb) || size > 256*mb {
		t.Errorf("one MB of nodes takes %d objects of %d MB", objects, size/mb)
	}
}

func TestManyFaultsStayLinear(t *testing.T) {
	// taken is the objects that so many plays of four faults each take.
	taken := func(n int) uint64 {
		var plays strings.Builder
		for i := range n {
			fmt.Fprintf(&plays, "  - {play: %d, in: 0:01, out: 0:02, reps: [{battle: won}, nobody bull won, {rusher: x, battle: wonn}]}\n", i+1)
		}
		var faults Faults
		objects, _ := allocated(func() { _, faults = parseText(t, plays.String()) })
		if want := n * 4; len(faults) != want {
			t.Errorf("%d faults, want %d", len(faults), want)
		}
		return objects
	}
	taken(10) // what is made once is made
	if few, many := taken(1250), taken(5000); many > 5*few {
		t.Errorf("1250 plays take %d objects and 5000 take %d, want at most five times as many", few, many)
	}
}

func TestVocabularyFaults(t *testing.T) {
	_, err := parseVocabulary("staff.yaml", []byte(`trenchcut: 1
limit: f75
wrds: {}
words:
  path: [outside, inside]
  move: [bull, {rip: {also: [bull], path: outsid, famly: power}}, arm over, ~, [spin], "a/b"]
  job: rush
choices: {x: {a: b}}
`))
	var faults Faults
	if !errors.As(err, &faults) {
		t.Fatalf("error is %v", err)
	}
	golden(t, "vocabulary.golden", faults.Error()+"\n")
}

func TestDidYouMean(t *testing.T) {
	few := []string{"won", "even", "lost"}
	many := strings.Fields("a2 b2 c2 d2 e2 f2 g2 h2 i2 j2 k2 l2 m2 n2 o2 p2 a1 b1 c1 d1 e1 f1 g1 h1 i1 j1 k1 l1 m1 n1 o1 p1 q1 r1 s1 t1 u1 v1 w1 x1 y1 z1")
	for _, c := range []struct {
		word  string
		known []string
		want  string
	}{
		{"wonn", few, `did you mean "won"?`},
		{"wno", few, `did you mean "won"?`}, // two letters swapped are one slip
		{"WON", few, `did you mean "won"?`},
		{"losst", few, `did you mean "lost"?`},
		{"drew", few, "want one of won, even, lost"},
		{"", few, "want one of won, even, lost"},
		{"x", []string{"A", "B"}, "want one of A, B"},
		{"ʻʻʻʻʻʻʻʻʻ", many, ""},
		{"x", nil, ""},
		{strings.Repeat("long", 100), few, "want one of won, even, lost"},
	} {
		if got := DidYouMean(c.word, c.known); got != c.want {
			t.Errorf("DidYouMean(%q, %q) = %q, want %q", c.word, c.known, got, c.want)
		}
	}
}

func TestFaultsAsErrors(t *testing.T) {
	var fs Faults
	if fs.Err() != nil {
		t.Error("no faults are an error")
	}
	fs.Warn(Pos{"b", 1, 2}, "worth %s", "a look")
	if fs.Err() != nil || fs.Grave() != 0 {
		t.Error("a warning is an error")
	}
	fs.Add(Pos{"a", 2, 1}, "wrong")
	fs.Add(Pos{"a", 1, 7}, "wrong")
	fs.Add(Pos{"a", 1, 3}, "wrong")
	fs.Add(Pos{"a", 0, 0}, "wrong")
	fs.Add(Pos{}, "wrong")
	fs.Sort()
	if got, want := fs.Err().Error(), "wrong\na: wrong\na:1:3: wrong\na:1:7: wrong\na:2:1: wrong\nb:1:2: warning: worth a look"; got != want || fs.Grave() != 5 {
		t.Errorf("faults print as\n%s\nwant\n%s", got, want)
	}
}
