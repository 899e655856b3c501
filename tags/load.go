package tags

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
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

// Load reads tag files into a season. The faults are all of all files; the season
// holds whatever could be read. The error is a file that could not be read at all.
func Load(files []string, v *Vocabulary) (*Season, Faults, error) {
	s := &Season{Vocabulary: v}
	var faults Faults
	var failed []error
	byID := map[string]*Game{}
	for _, file := range files {
		data, err := readFile(file)
		if err != nil {
			failed = append(failed, fmt.Errorf("read tags: %w", err))
			continue
		}
		g, fs := ParseGame(file, data, v)
		faults = append(faults, fs...)
		if first, ok := byID[g.ID]; ok && g.ID != "" {
			faults.Add(g.Pos, "game id %q is that of %s too", g.ID, first.Pos.File)
			continue
		}
		byID[g.ID] = g
		s.Games = append(s.Games, g)
	}
	sort.SliceStable(s.Games, func(i, j int) bool {
		a, b := s.Games[i], s.Games[j]
		if a.Date != b.Date {
			return a.Date < b.Date
		}
		return a.ID < b.ID
	})
	for _, g := range s.Games {
		sort.SliceStable(g.Plays, func(i, j int) bool { return g.Plays[i].Number < g.Plays[j].Number })
	}
	return s, faults, errors.Join(failed...)
}

// readFile reads no more of a file than shows that it is too large, because a folder
// may hold anything under a tag file's name.
func readFile(file string) (data []byte, err error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return io.ReadAll(io.LimitReader(f, maxFile+1))
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
