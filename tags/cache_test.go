package tags

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unsafe"

	"github.com/google/go-cmp/cmp"

	"trenchcut/tags/files"
)

// whole compares everything, unexported fields too, but vocabularies only by who they are.
// What people are called is the season's to say.
var whole = cmp.Options{
	cmp.Exporter(func(reflect.Type) bool { return true }),
	cmp.FilterPath(func(p cmp.Path) bool {
		return p.Last().String() == ".over"
	}, cmp.Ignore()),
	cmp.Comparer(func(a, b *Vocabulary) bool { return a == b }),
}

// tagFiles is every tag file there is to test with, copied to one folder.
func tagFiles(t *testing.T) []string {
	t.Helper()
	dir := t.TempDir()
	var files []string
	for _, from := range []string{"testdata/*" + Suffix, "../templates/demo/*" + Suffix} {
		found, err := filepath.Glob(from)
		if err != nil || len(found) == 0 {
			t.Fatalf("no files are %s: %v", from, err)
		}
		for _, file := range found {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, write(t, dir, filepath.Base(file), string(data)))
		}
	}
	return files
}

// outcome is all that comes of reading files: the season, its faults, and those that film
// of ten seconds shows.
type outcome struct {
	Season         *Season
	Faults, OnFilm Faults
}

func load(t *testing.T, c Cache, files []string, v *Vocabulary) outcome {
	t.Helper()
	s, faults, err := c.Load(files, v)
	if err != nil {
		t.Fatal(err)
	}
	o := outcome{Season: s, Faults: faults}
	for _, g := range s.Games {
		extents := map[string]Extent{}
		for _, f := range g.Files() {
			extents[f.File] = Extent{Clock{Rate: Rate{30000, 1001}}, 300}
		}
		o.OnFilm = append(o.OnFilm, g.CheckFilm(extents)...)
	}
	return o
}

func entries(t *testing.T, c Cache) map[string]os.FileInfo {
	t.Helper()
	list, err := os.ReadDir(c.Folder)
	if err != nil {
		t.Fatal(err)
	}
	infos := map[string]os.FileInfo{}
	for _, e := range list {
		if infos[e.Name()], err = e.Info(); err != nil {
			t.Fatal(err)
		}
	}
	return infos
}

func TestCacheIsNotSeen(t *testing.T) {
	files, v := tagFiles(t), vocabulary(t)
	// A warning alone: no angle shows the play.
	unseen := write(t, t.TempDir(), "unseen"+Suffix, strings.Replace(game("unseen", "2026-09-05", "1"), "in: 0:01, out: 0:09, ", "", 1))
	files = append(files, unseen)
	want := load(t, Cache{}, files, v)
	if !slices.ContainsFunc(want.Faults, func(f Fault) bool { return f.Pos.File == unseen && f.Warning }) {
		t.Fatal("there is no warning to compare")
	}
	if len(want.Faults) == 0 || len(want.OnFilm) == 0 {
		t.Fatal("the files have no fault to compare")
	}
	c := Cache{filepath.Join(t.TempDir(), "cache")}
	if diff := cmp.Diff(want, load(t, c, files, v), whole); diff != "" {
		t.Fatal("while the cache is filled:", diff)
	}
	filled := entries(t, c)
	clean := 0
	for _, file := range files {
		if !slices.ContainsFunc(want.Faults, func(f Fault) bool { return f.Pos.File == file }) {
			clean++
		}
	}
	if clean == 0 || clean == len(files) || len(filled) != clean {
		t.Errorf("%d entries of %d files without fault among %d", len(filled), clean, len(files))
	}
	if diff := cmp.Diff(want, load(t, c, files, v), whole); diff != "" {
		t.Error("from the cache:", diff)
	}
	for name, info := range entries(t, c) {
		if !os.SameFile(info, filled[name]) {
			t.Errorf("entry %s was made again", name)
		}
	}
}

// Each case spoils a cache that knows the files a and b; both are then read as if there
// were none.
func TestCacheIsNotTrusted(t *testing.T) {
	const a, b = "a" + Suffix, "b" + Suffix
	entry := func(c Cache, file string) string { return (&cacheReader{folder: c.Folder}).entry(file) }
	change := func(t *testing.T, file string, change func([]byte) []byte) {
		t.Helper()
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, change(data), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for name, spoil := range map[string]func(t *testing.T, c Cache, dir string){
		"empty": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func([]byte) []byte { return nil })
		},
		"no body": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func(e []byte) []byte { return e[:sha256.Size] })
		},
		"half the head": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func(e []byte) []byte { return e[:sha256.Size/2] })
		},
		"cut short": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func(e []byte) []byte { return e[:len(e)-1] })
		},
		"one bit": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func(e []byte) []byte { e[sha256.Size+3] ^= 2; return e })
		},
		"no game, but well sealed": func(t *testing.T, c Cache, dir string) {
			change(t, entry(c, filepath.Join(dir, a)), func(e []byte) []byte {
				return files.Seal(append(e[:sha256.Size:sha256.Size], "no game"...))
			})
		},
		"another's": func(t *testing.T, c Cache, dir string) {
			if err := os.Rename(entry(c, filepath.Join(dir, b)), entry(c, filepath.Join(dir, a))); err != nil {
				t.Fatal(err)
			}
		},
		"a folder": func(t *testing.T, c Cache, dir string) {
			e := entry(c, filepath.Join(dir, a))
			if err := os.Remove(e); err != nil {
				t.Fatal(err)
			}
			write(t, e, "inside", "")
		},
		"a newer file of the same size and time": func(t *testing.T, _ Cache, dir string) {
			file := filepath.Join(dir, a)
			info, err := os.Stat(file)
			if err != nil {
				t.Fatal(err)
			}
			change(t, file, func(text []byte) []byte { return bytes.Replace(text, []byte("oke won"), []byte("oke hit"), 1) })
			if err := os.Chtimes(file, info.ModTime(), info.ModTime()); err != nil {
				t.Fatal(err)
			}
		},
		"a newer file with a fault": func(t *testing.T, _ Cache, dir string) {
			change(t, filepath.Join(dir, a), func(text []byte) []byte { return bytes.Replace(text, []byte("oke won"), []byte("oke wno"), 1) })
		},
		"files that changed places": func(t *testing.T, _ Cache, dir string) {
			for _, move := range [][2]string{{a, "c"}, {b, a}, {"c", b}} {
				if err := os.Rename(filepath.Join(dir, move[0]), filepath.Join(dir, move[1])); err != nil {
					t.Fatal(err)
				}
			}
		},
		"no folder any more": func(t *testing.T, c Cache, _ string) {
			if err := os.RemoveAll(c.Folder); err != nil {
				t.Fatal(err)
			}
		},
		"a file for a folder": func(t *testing.T, c Cache, _ string) {
			if err := os.RemoveAll(c.Folder); err != nil {
				t.Fatal(err)
			}
			write(t, filepath.Dir(c.Folder), filepath.Base(c.Folder), "")
		},
	} {
		t.Run(name, func(t *testing.T) {
			v, dir := vocabulary(t), t.TempDir()
			files := []string{write(t, dir, a, game("wk1", "2026-09-05", "1", "2")), write(t, dir, b, game("wk2", "2026-09-12", "1"))}
			c := Cache{filepath.Join(t.TempDir(), "cache")}
			load(t, c, files, v)
			if n := len(entries(t, c)); n != 2 {
				t.Fatalf("%d entries, want 2", n)
			}
			spoil(t, c, dir)
			want := load(t, Cache{}, files, v)
			for _, when := range []string{"at once", "again"} {
				if diff := cmp.Diff(want, load(t, c, files, v), whole); diff != "" {
					t.Error(when, diff)
				}
			}
			if left, _ := filepath.Glob(filepath.Join(c.Folder, ".entry-*")); left != nil {
				t.Errorf("%q were left over", left)
			}
		})
	}
}

// The film's names start at the tag file, so where that lies is part of what it says.
func TestCacheInAnotherFolder(t *testing.T) {
	v, dir := vocabulary(t), t.TempDir()
	c := Cache{filepath.Join(dir, "cache")}
	file := write(t, dir, "one/a"+Suffix, game("wk1", "2026-09-05", "1"))
	load(t, c, []string{file}, v)
	two := filepath.Join(dir, "two")
	if err := os.Rename(filepath.Join(dir, "one"), two); err != nil {
		t.Fatal(err)
	}
	// Even the entry moves to where that of the new place would be.
	s := &cacheReader{folder: c.Folder}
	if err := os.Rename(s.entry(file), s.entry(filepath.Join(two, "a"+Suffix))); err != nil {
		t.Fatal(err)
	}
	t.Chdir(two)
	moved := load(t, c, []string{"a" + Suffix}, v).Season.Games[0]
	if want := filepath.Join(two, "ez.mp4"); moved.Films[0].File != want || moved.Pos.File != "a"+Suffix {
		t.Errorf("film %s of %s, want %s of the file as named", moved.Films[0].File, moved.Pos.File, want)
	}
	// The same file by another name of its place.
	name := filepath.Join(two, "a"+Suffix)
	again := load(t, c, []string{name}, v).Season.Games[0]
	if again.Pos.File != name || again.Plays[0].Reps[0].Pos.File != name {
		t.Errorf("read as %s, but the game is of %s", name, again.Pos.File)
	}
}

func TestCacheOfOtherWords(t *testing.T) {
	const words = "trenchcut: 1\nlimit: 2.5s\nwords:\n  path: [outside, inside]\n  move:\n  - spin: {path: inside, also: [whirl]}\n  battle: [won, lost]\n  kind: [game]\n"
	parse := func(text string) *Vocabulary {
		t.Helper()
		v, err := parseVocabulary("v.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	v := parse(words)
	if v.digest() != parse(words).digest() {
		t.Error("a vocabulary is not the same when it is read again")
	}
	if first, again := vocabulary(t), vocabulary(t); first.digest() != again.digest() {
		t.Error("the default vocabulary is not the same when it is read again")
	}
	file := write(t, t.TempDir(), "a"+Suffix, strings.Replace(game("wk1", "2026-09-05", "1"), "oke won", "oke whirl won", 1))
	c := Cache{t.TempDir()}
	load(t, c, []string{file}, v)
	for _, change := range [][2]string{
		{"limit: 2.5s", "limit: 2.4s"},
		{"path: inside", "path: outside"},
		{"whirl", "twirl"},
		{"[won, lost]", "[won, lost, even]"},
		{"[won, lost]", "[lost, won]"},
	} {
		other := parse(strings.Replace(words, change[0], change[1], 1))
		if v.digest() == other.digest() {
			t.Errorf("with %q the vocabulary has the same digest", change[1])
		}
		if diff := cmp.Diff(load(t, Cache{}, []string{file}, other), load(t, c, []string{file}, other), whole); diff != "" {
			t.Errorf("with %q: %s", change[1], diff)
		}
	}
}

// A field that is new, or read otherwise, makes another parser.
func TestParserKnowsItsFields(t *testing.T) {
	say := func(fields ...*Field[Play]) string {
		var said strings.Builder
		sayFields(&said, fields)
		return said.String()
	}
	f := *PlayFields[1]
	same := f
	if say(&f) != say(&same) {
		t.Error("the same field is another parser")
	}
	for name, change := range map[string]func(*Field[Play]){
		"name":  func(f *Field[Play]) { f.Name = "other" },
		"key":   func(f *Field[Play]) { f.Key = "other" },
		"kind":  func(f *Field[Play]) { f.Kind = KindText },
		"list":  func(f *Field[Play]) { f.List = "other" },
		"bound": func(f *Field[Play]) { f.Most++ },
	} {
		other := f
		change(&other)
		if say(&f) == say(&other) {
			t.Errorf("another %s is the same parser", name)
		}
	}
	if say(&f) == say(&f, &f) {
		t.Error("a field more is the same parser")
	}
	if !strings.Contains(string(parser()), `"protection"`) {
		t.Errorf("the parser does not tell its fields: %s", parser())
	}
}

// filler gives every field below a value of the model something of its own.
type filler struct {
	n      int
	people []*Person
}

func (f *filler) fill(v reflect.Value) {
	f.n++
	v = reflect.NewAt(v.Type(), unsafe.Pointer(v.UnsafeAddr())).Elem() // unexported fields too
	switch at := v.Addr().Interface().(type) {
	case *Pos:
		*at = Pos{"file", f.n, f.n % 7}
		return
	case *Unit:
		*at = TimecodeUnit
		return
	case *Marks:
		for _, m := range AllMarks {
			var i Instant
			f.fill(reflect.ValueOf(&i).Elem())
			at.Set(m, i)
		}
		return
	case **Person:
		*at = f.people[f.n%len(f.people)]
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprint("text ", f.n%100)) // some stand twice
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(f.n-50) * 1_000_003)
	case reflect.Uint8:
		v.SetUint(1)
	case reflect.Float64:
		v.SetFloat(1 / float64(f.n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Uint64:
		v.SetUint(1 << 63) // one bit, the highest
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		f.fill(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			f.fill(v.Index(i))
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		for range 2 {
			key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
			f.fill(key)
			f.fill(value)
			v.SetMapIndex(key, value)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f.fill(v.Field(i))
		}
	default:
		panic(fmt.Sprint("nothing to fill a ", v.Type(), " with"))
	}
}

// fullGame is a game of which every field of every part is filled, those that a later
// version adds too: what pack leaves out shows.
func fullGame() *Game {
	f := &filler{}
	g := &Game{Pos: Pos{"file", 1, 1}, People: map[string]*Person{}}
	for _, id := range []string{"b", "a", "c"} {
		p := &Person{}
		f.fill(reflect.ValueOf(p).Elem())
		p.ID = id
		g.People[id] = p
		f.people = append(f.people, p)
	}
	v := reflect.ValueOf(g).Elem()
	for i := range v.NumField() {
		if name := v.Type().Field(i).Name; !slices.Contains([]string{"Pos", "People", "Plays", "vocabulary", "clocks"}, name) {
			f.fill(v.Field(i))
		}
	}
	for range 2 {
		p := &Play{Game: g}
		f.fillBut(p, "Game", "Reps")
		for range 3 {
			r := &Rep{Play: p}
			f.fillBut(r, "Play")
			p.Reps = append(p.Reps, r)
		}
		g.Plays = append(g.Plays, p)
	}
	return g
}

func (f *filler) fillBut(part any, but ...string) {
	v := reflect.ValueOf(part).Elem()
	for i := range v.NumField() {
		if !slices.Contains(but, v.Type().Field(i).Name) {
			f.fill(v.Field(i))
		}
	}
}

func TestPack(t *testing.T) {
	for name, g := range map[string]*Game{
		"full":  fullGame(),
		"empty": {People: map[string]*Person{}},
		"hollow": {
			Films: []Film{}, People: map[string]*Person{},
			Plays: []*Play{{Extra: map[string]string{}, angles: []angle{}, Reps: []*Rep{}}},
		},
	} {
		for _, p := range g.Plays {
			p.Game = g
		}
		data, err := pack(g)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got, ok := unpack(data, g.Pos.File, nil)
		if diff := cmp.Diff(g, got, whole); !ok || diff != "" {
			t.Errorf("%s, %t: %s", name, ok, diff)
		}
		if again, _ := pack(g); !bytes.Equal(data, again) {
			t.Errorf("%s packs into other bytes the second time", name)
		}
	}
}

func TestPackRefuses(t *testing.T) {
	for name, change := range map[string]func(*Game){
		"a rusher who is nobody":  func(g *Game) { g.Plays[0].Reps[0].Rusher = &Person{ID: "unknown"} },
		"a place in another file": func(g *Game) { g.Plays[1].Pos.File = "other" },
	} {
		g := fullGame()
		if _, err := pack(g); err != nil {
			t.Fatal(err)
		}
		change(g)
		if _, err := pack(g); err == nil {
			t.Errorf("%s is packed", name)
		}
	}
}

// A body whose checksum holds is still read with care.
func TestUnpackDamaged(t *testing.T) {
	data, err := pack(fullGame())
	if err != nil {
		t.Fatal(err)
	}
	for i := range data {
		if _, ok := unpack(data[:i], "file", nil); ok {
			t.Errorf("the first %d of %d bytes are taken for all", i, len(data))
		}
		for _, b := range []byte{0, 1, 2, 0x7e, 0x7f, 0x80, 0xfe, 0xff} {
			damaged := bytes.Clone(data)
			damaged[i] = b
			unpack(damaged, "file", nil) // may be another game, but no panic
		}
	}
	if _, ok := unpack(append(bytes.Clone(data), 0), "file", nil); ok {
		t.Error("a byte too many is passed over")
	}
}
