package mark

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Begun is what is begun of a game and not in its tag file, at path, in all sessions, those that
// run now too. It changes nothing.
func Begun(path string, g *tags.Game) ([]Draft, error) {
	folder := filepath.Join(filepath.Dir(path), journalFolder)
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the journals: %w", err)
	}
	var all []Draft
	for _, entry := range entries {
		if name := entry.Name(); !strings.HasPrefix(name, filepath.Base(path)+".") || filepath.Ext(name) != ".journal" {
			continue
		}
		journal, err := os.ReadFile(filepath.Join(folder, entry.Name()))
		if err != nil {
			return nil, fmt.Errorf("read the journals: %w", err)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		records, _ := readRecords(journal)
		for _, d := range begunIn(records, data) {
			there := func(p *tags.Play) bool {
				return p.Number == d.Play && slices.ContainsFunc(p.Reps, func(r *tags.Rep) bool { return r.Rusher.ID == d.Rep })
			}
			same := func(o Draft) bool { return o.Play == d.Play && o.Rep == d.Rep }
			if !slices.ContainsFunc(g.Plays, there) && !slices.ContainsFunc(all, same) {
				all = append(all, d)
			}
		}
	}
	return all, nil
}

// begunIn returns the drafts after all records. Where the last record may not have come into the
// file, the drafts before it are returned as well.
func begunIn(records []record, data []byte) []Draft {
	var before, now []Draft
	for i, r := range records {
		before, now = now, r.Drafts
		if last := i == len(records)-1; last && r.Hunk != nil && sum(data) != r.Hunk.After {
			now = slices.Concat(now, before)
		}
	}
	return now
}

// Where names the play or rep that d is of in the room's words.
func (d Draft) Where() string { return Edit{Play: d.Play, Rep: d.Rep}.where() }
