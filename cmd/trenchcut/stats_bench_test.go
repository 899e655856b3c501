package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/invent"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
)

// mostTable is how long a table of a league season may take, of the time that loading the
// season takes from what was parsed before.
const mostTable = 2.0

func BenchmarkStatsTables(b *testing.B) {
	dir := b.TempDir()
	files, err := invent.Season(dir, 1, seasonGames, seasonReps)
	if err != nil {
		b.Fatal(err)
	}
	v, err := tags.DefaultVocabulary()
	if err != nil {
		b.Fatal(err)
	}
	cache := tags.Cache{Folder: filepath.Join(b.TempDir(), "tags")}
	b.Setenv(session.CacheVariable, b.TempDir())
	load := func() *tags.Season {
		season, faults, err := cache.Load(files, v)
		if err != nil || faults.Err() != nil {
			b.Fatal(err, faults.Err())
		}
		return season
	}
	load() // which fills the cache
	second := secondOpinions(b, files, v)
	tables := report.Definitions()
	took := make([][]time.Duration, len(tables))
	var loading []time.Duration
	for range seasonRuns { // by turns, so that a busy spell of the machine falls on all
		runtime.GC()
		start := time.Now()
		season := load()
		loading = append(loading, time.Since(start))
		season.Second = second
		q, err := query.Parse(nil, "", v, season)
		if err != nil {
			b.Fatal(err)
		}
		by, err := namedFacts(q.Registry(), "by", []string{"last-move", "first-move", "set"})
		if err != nil {
			b.Fatal(err)
		}
		r := report.Request{Season: season, Query: q, Reps: q.Reps(season).Reps, By: by}
		for i, t := range tables {
			runtime.GC()
			start := time.Now()
			table, err := t.Table(&r)
			if err != nil {
				b.Fatal(err)
			}
			if len(table.Grids[0].Rows) == 0 {
				b.Fatalf("table %s is empty", t.Name)
			}
			took[i] = append(took[i], time.Since(start))
		}
	}
	least := slices.Min(loading)
	var said []string // on few lines: of a benchmark no more than ten are printed
	for i, t := range tables {
		// The least, because whatever else the machine does only adds to it.
		time := slices.Min(took[i])
		ratio := time.Seconds() / least.Seconds()
		said = append(said, fmt.Sprintf("%s %d (%.2f)", t.Name, time.Milliseconds(), ratio))
		if ratio > mostTable {
			b.Errorf("table %s took %.2f of the time to load, want at most %.1f", t.Name, ratio, mostTable)
		}
	}
	b.Logf("%d reps in %d files; the least ms, and of loading: loading %d\n%s", seasonReps, len(files), least.Milliseconds(), strings.Join(said, ", "))
}

// secondOpinions is the games of files once more, as somebody else tagged them.
func secondOpinions(b *testing.B, files []string, v *tags.Vocabulary) []*tags.Game {
	b.Helper()
	both := slices.Clone(files)
	dir := b.TempDir()
	for i, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		text = bytes.Replace(text, []byte("game: {id:"), []byte("game: {by: Ruiz, id:"), 1)
		other := filepath.Join(dir, fmt.Sprintf("%d%s", i, tags.Suffix))
		if err := os.WriteFile(other, text, 0o600); err != nil {
			b.Fatal(err)
		}
		both = append(both, other)
	}
	season, faults, err := tags.Cache{}.Load(both, v)
	if err != nil || faults.Err() != nil {
		b.Fatal(err, faults.Err())
	}
	if len(season.Second) != len(files) {
		b.Fatalf("%d second opinions of %d games", len(season.Second), len(files))
	}
	return season.Second
}
