package tags

import (
	"os"
	"path/filepath"
	"testing"

	"trenchcut/templates"
)

// seeds adds the files that match, of which there must be some.
func seeds(f *testing.F, pattern string) {
	f.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		f.Fatalf("no seeds match %s: %v", pattern, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

// Whatever the bytes, a game comes back, every fault has a place in the file, and what
// follows from the tags can be asked of every rep.
func FuzzParseGame(f *testing.F) {
	v := vocabulary(f)
	seeds(f, "testdata/*.game.yaml")
	f.Add([]byte("trenchcut: 1\ngame: {id: x}\nplays: [{play: 1, angles: {}, reps: [a]}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		g, faults := ParseGame("x.game.yaml", data, v)
		for _, fault := range faults {
			if fault.Pos.File != "x.game.yaml" || fault.Pos.Line < 0 || fault.Pos.Line > len(data)+1 || fault.Pos.Column > len(data)+1 || fault.What == "" {
				t.Errorf("fault has no place in the file: %+v", fault)
			}
		}
		extents := map[string]Extent{}
		for i, ref := range g.Files() {
			extents[ref.File] = Extent{Clock: Clock{Rate: rates[i%len(rates)], Start: Frame(i * 1_000_000)}, Frames: 100_000}
		}
		grave := append(faults, g.CheckFilm(extents)...).Grave()
		for _, p := range g.Plays {
			_ = p.Name() + p.DownClass()
			for _, angle := range p.Angles() {
				look(t, grave, angle, p.View, extents)
				for _, r := range p.Reps {
					look(t, grave, angle, r.View, extents)
				}
			}
			for _, r := range p.Reps {
				_ = r.Name() + r.Sequence() + r.Path() + r.Family()
				r.IsCounter()
				r.OneOnOne()
				r.BeatInTime()
				r.Pressure()
				if r.Rusher == nil || r.Job == "" {
					t.Errorf("rep %s has no rusher or no job", r.Name())
				}
			}
		}
	})
}

// look wants a view within the film wherever the game has no faults.
func look(t *testing.T, grave int, angle string, of func(string) (View, error), extents map[string]Extent) {
	v, err := of(angle)
	if grave > 0 {
		return
	}
	if err != nil {
		t.Errorf("a game with no faults has no view: %v", err)
		return
	}
	e := extents[v.File]
	in, out := e.Clock.FrameAt(v.In), e.Clock.FrameAt(v.Out)
	if v.ToEnd {
		out = e.Frames
	}
	if in < 0 || in >= out || out > e.Frames {
		t.Errorf("a game with no faults has a view from frame %d to before %d of %d", in, out, e.Frames)
	}
}

func FuzzParseVocabulary(f *testing.F) {
	data, err := templates.FS.ReadFile("vocabulary.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("trenchcut: 1\nwords: {move: [{a: {also: [b], path: c}}], path: [c]}\nchoices: {d: e=f}"))
	f.Add([]byte("trenchcut: 1\nwords: {outcome: [{a: {sack: yes, pressure: no}}, {b: {pressure: yes}}]}\npoints: {outcome: {a: -1.5, b: +300}, loaf: -0.01, how: }"))
	f.Fuzz(func(t *testing.T, data []byte) {
		v, err := parseVocabulary("x.yaml", data)
		if err != nil {
			return
		}
		for key, list := range v.Lists {
			for i, name := range list.Names() {
				if w, ok := v.List(key).Find(name); !ok || w.Name != name || list.Rank(name) != i {
					t.Errorf("%s %q is found as %q at %d, %t", key, name, w.Name, list.Rank(name), ok)
				}
			}
		}
		if v.Limit < 0 {
			t.Errorf("limit is %s", v.Limit)
		}
	})
}

// Whatever parses resolves within bounds, and what it resolves to can be written and
// read again as the same frame.
func FuzzParseInstant(f *testing.F) {
	for _, s := range []string{"0:08:02.100", "12:31", "12.4s", "f1234", "19:26:48:04", "19:26:48;04", "+2.64s", "-f3", "95:59:59.999999999", "00:01:00;00", "23:59:59:119"} {
		for i := range rates {
			f.Add(s, uint8(i), int64(i)*100_000)
			f.Add(s, uint8(i+len(rates)), int64(i)*1798)
		}
	}
	f.Fuzz(func(t *testing.T, s string, rate uint8, start int64) {
		at, err := ParseInstant(s)
		if err != nil {
			return
		}
		r := rates[int(rate)%len(rates)]
		c := Clock{Rate: r, Start: max(Frame(start%10_000_000), 0)}
		c.Counting = []Counting{"", NonDrop, DropFrame}[int(rate)/len(rates)%3]
		when, err := at.Resolve(c)
		if err != nil {
			return
		}
		if at.From == FromFilm && when < 0 || when > 1_000_000_000*Second || when < -1_000_000_000*Second {
			t.Errorf("%q at %s is %s", s, r, when)
		}
		n := c.FrameAt(when)
		if at.Unit != Flicks && at.From == FromFilm && c.At(n) != when {
			t.Errorf("%q at %s is frame %d, shown at %s, not %s", s, r, n, c.At(n), when)
		}
		if when < 0 || when > maxSeconds*Second {
			return
		}
		again, err := ParseInstant(c.At(n).String())
		if err != nil {
			t.Fatal(err)
		}
		if got := c.FrameAt(Time(again.N)); got != n {
			t.Errorf("%q at %s is frame %d, which printed is %s, frame %d", s, r, n, c.At(n), got)
		}
	})
}

// Whatever a staff's files say, every word of the templates is still found by the name it
// had there, and every list by the names it gives.
func FuzzStaffFiles(f *testing.F) {
	for _, words := range []string{
		"words: {move: [{stab: {also: [long-arm, jab]}}, {rip: {also: [club-rip]}}, {x: {path: outside}}], align: [10, \"7\"]}\norder: {outcome: [sack], move: dip bull}\nchoices: {a: set=short  b, c: [rusher=d e]}",
		"limit: 1s\nwords: {outcome: [{sacked: {also: [sack]}}, {hit: {also: [sack]}}]}\norder: {x: [], battle: won won}",
	} {
		f.Add([]byte("trenchcut: 1\n"+words), []byte("trenchcut: 1\nreads: {a: {when: [set=short], where: x, answers: [{move: [bull, spin], path: inside}]}, overset:}\nwithout: [a, leaning]"))
	}
	data, err := templates.FS.ReadFile("reads.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(""), data)
	before := vocabulary(f)
	f.Fuzz(func(t *testing.T, words, reads []byte) {
		v := vocabulary(t)
		file, faults := parseVocabularyFile("w.yaml", words)
		faults = append(faults, v.extend([]*vocabularyFile{file, file})...)
		own, more := parseReads("r.yaml", reads, v)
		faults = append(append(faults, more...), v.extendReads([]readsFile{own})...)
		for _, fault := range faults {
			if fault.What == "" || fault.Pos.File == "" || fault.Pos.Line < 0 {
				t.Errorf("fault has no place: %+v", fault)
			}
		}
		for key, list := range before.Lists {
			for _, w := range list.Words {
				for _, name := range w.names() {
					if _, ok := v.List(key).Find(name); !ok {
						t.Errorf("%s %q is gone", key, name)
					}
				}
			}
		}
		for key, list := range v.Lists {
			for i, w := range list.Words {
				if found, ok := list.Find(w.Name); !ok || found.Name != w.Name || list.Rank(w.Name) != i {
					t.Errorf("%s %q is found as %q", key, w.Name, found.Name)
				}
			}
		}
		for _, c := range v.Choices {
			for _, term := range c.Terms {
				if term.Text == "" || term.At(0).Line < 1 {
					t.Errorf("a term has no text or no place: %+v", term)
				}
			}
		}
	})
}
