package tags

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"
	"golang.org/x/sync/semaphore"
)

// Suffix ends the name of every tag file.
const Suffix = ".game.yaml"

// FindGames names the tag files among paths: files as they are, folders searched
// through, hidden ones passed over. No path at all means the current folder. It fails where a path does not
// exist or none of them holds a tag file.
func FindGames(paths []string) ([]string, error) {
	if len(paths) == 0 {
		paths = []string{"."}
	}
	var files []string
	seen := map[string]bool{}
	add := func(file string) {
		if key := abs(file); !seen[key] {
			seen[key] = true
			files = append(files, file)
		}
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, fmt.Errorf("find games: %w", err)
		}
		if !info.IsDir() {
			add(path)
			continue
		}
		err = filepath.WalkDir(path, func(file string, entry fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			switch hidden := strings.HasPrefix(entry.Name(), ".") && file != path; {
			case entry.IsDir() && hidden:
				return filepath.SkipDir
			case !entry.IsDir() && !hidden && strings.HasSuffix(file, Suffix):
				add(file)
			}
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("find games below %s: %w", path, err)
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no tag file (*%s) in %s", Suffix, strings.Join(paths, ", "))
	}
	return files, nil
}

// Load reads tag files into a season, on all cores. The faults are all of all files, in
// their order; the season holds whatever could be read. The error is a file that could
// not be read at all.
func (c Cache) Load(files []string, v *Vocabulary) (*Season, Faults, error) {
	s := &Season{Vocabulary: v}
	var faults Faults
	var failed []error
	var games []*Game
	said := map[[2]string]*Game{} // by id, and by whom
	for _, read := range c.read(files, v) {
		if read.err != nil {
			failed = append(failed, fmt.Errorf("read tags: %w", read.err))
			continue
		}
		g := read.game
		faults = append(faults, read.faults...)
		key := [2]string{g.ID, g.By}
		if first, ok := said[key]; ok && g.ID != "" {
			faults.Add(g.Pos, "game id %q is that of %s too", g.ID, first.Pos.File)
			faults.hint("if somebody else tagged it, say who with by: NAME")
			continue
		}
		said[key] = g
		games = append(games, g)
	}
	s.Games, s.Second = opinions(games, &faults)
	for _, g := range slices.Concat(s.Games, s.Second) {
		slices.SortStableFunc(g.Plays, func(a, b *Play) int { return a.Number - b.Number })
	}
	callPeople(slices.Concat(s.Games, s.Second))
	return s, faults, errors.Join(failed...)
}

// opinions divides games into one of each id, and what others say of the same. The file
// that says by nobody is the game's own, else the first by name: a file may be called
// anything, so its name decides nothing. Both come in order.
func opinions(games []*Game, faults *Faults) (own, second []*Game) {
	first := map[string]*Game{}
	for _, g := range games {
		if f, ok := first[g.ID]; !ok || g.By < f.By {
			first[g.ID] = g
		}
	}
	games = slices.SortedStableFunc(slices.Values(games), func(a, b *Game) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.ID, b.ID), cmp.Compare(a.By, b.By))
	})
	for _, g := range games {
		f := first[g.ID]
		if g == f || g.ID == "" {
			own = append(own, g)
			continue
		}
		if g.Date != "" && f.Date != "" && g.Date != f.Date {
			faults.Add(g.Pos, "game %q is of %s here, but of %s in %s", g.ID, g.Date, f.Date, f.Pos.File)
		}
		second = append(second, g)
	}
	return own, second
}

// fileRead is what came of reading one tag file.
type fileRead struct {
	game   *Game
	packed []byte // in place of game, until all files are read
	faults Faults
	err    error
}

func parseFile(file string, data []byte, v *Vocabulary) (r fileRead) {
	r.game, r.faults = ParseGame(file, data, v)
	return r
}

// read reads each of files, on all cores.
func (c Cache) read(files []string, v *Vocabulary) []fileRead {
	// The parser makes of a file many times its bytes. So that many cores need no more
	// memory than one would, the files in work are together no larger than one may be.
	room := semaphore.NewWeighted(maxFile + 1)
	reader := c.reader(v)
	reads := make([]fileRead, len(files))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, file := range files {
		group.Go(func() error {
			buffer := buffers.Get().(*bytes.Buffer)
			defer buffers.Put(buffer)
			data, err := readInto(buffer, file)
			size := int64(len(data))
			if err == nil {
				err = room.Acquire(context.Background(), size)
			}
			if err != nil {
				reads[i].err = err
				return nil
			}
			defer room.Release(size)
			reads[i] = reader.read(file, data)
			return nil
		})
	}
	_ = group.Wait() // each file has its own error

	// Games stay packed while others are parsed, because the parser's garbage is collected
	// many times over, and each time everything else that lives is looked at. Unpacking is
	// hardly more than filling fresh memory, in which two cores only wait for one another.
	for i, file := range files {
		r := &reads[i]
		if r.packed == nil {
			continue
		}
		if g, ok := unpack(r.packed, file, v); ok {
			*r = fileRead{game: g}
		} else if data, err := readFile(file); err != nil {
			*r = fileRead{err: err}
		} else {
			*r = parseFile(file, data, v)
		}
	}
	for _, r := range reads {
		if r.game != nil {
			r.game.spellFilms()
		}
	}
	return reads
}

// buffers hold files while they are read: what is made of one keeps none of its bytes.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// readFile reads no more of a file than shows that it is too large, because a folder
// may hold anything under a tag file's name.
func readFile(file string) ([]byte, error) { return readInto(new(bytes.Buffer), file) }

// readInto is readFile into a buffer, good until that is used again.
func readInto(buffer *bytes.Buffer, file string) (data []byte, err error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	buffer.Reset()
	// Room for the file and the look beyond its end; the size is a guess and no more.
	buffer.Grow(int(min(info.Size(), maxFile)) + bytes.MinRead)
	_, err = buffer.ReadFrom(io.LimitReader(f, maxFile+1))
	return buffer.Bytes(), err
}

// Reps is every rep of the season, in film order.
func (s *Season) Reps() []*Rep {
	var reps []*Rep
	for _, g := range s.Games {
		for _, p := range g.Plays {
			reps = append(reps, p.Reps...)
		}
	}
	return reps
}

// Plays is every play of the season, in film order.
func (s *Season) Plays() []*Play {
	var plays []*Play
	for _, g := range s.Games {
		plays = append(plays, g.Plays...)
	}
	return plays
}
