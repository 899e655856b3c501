package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"golang.org/x/sync/errgroup"
	"gopkg.in/yaml.v3"

	"trenchcut/pipeline/session"
	"trenchcut/tags/invent"
	"trenchcut/tags/report"
)

// What is promised of a league season: 100,000 reps in 300 files, on two cores.
const (
	seasonGames = 300
	seasonReps  = 100_000
	mostCold    = 1.5 // of the time to decode the files as YAML
	mostWarm    = 500 * time.Millisecond
	mostTables  = 3 * time.Second // all tables at once
	mostMemory  = 400             // MB

	seasonRuns = 5
)

// decodeSeason is the command "decode": it does to the files of a folder what no program
// that reads them can leave out, and no more.
func decodeSeason() {
	files, err := filepath.Glob(filepath.Join(os.Args[1], "*.game.yaml"))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for _, file := range files {
		group.Go(func() error {
			data, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			var node yaml.Node
			return yaml.Unmarshal(data, &node)
		})
	}
	if werr := group.Wait(); err != nil || werr != nil || len(files) == 0 {
		panic(fmt.Sprint(len(files), " files: ", err, werr))
	}
}

// spent is what runs of one process took.
type spent struct {
	processor, wall []time.Duration
	megabytes       float64 // the most
}

func (s *spent) run(b *testing.B, cache string, args ...string) {
	b.Helper()
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=2", session.CacheVariable+"="+cache)
	var said strings.Builder
	cmd.Stderr = &said
	start := time.Now()
	if err := cmd.Run(); err != nil {
		b.Fatalf("%q: %v\n%s", args, err, said.String())
	}
	s.wall = append(s.wall, time.Since(start))
	s.processor = append(s.processor, cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
	s.megabytes = max(s.megabytes, mostMegabytes(cmd.ProcessState))
}

func leastAndMedian(times []time.Duration) (least, median time.Duration) {
	times = slices.Sorted(slices.Values(times))
	return times[0], times[len(times)/2]
}

func BenchmarkSeason(b *testing.B) {
	dir := b.TempDir()
	if _, err := invent.Season(dir, 1, seasonGames, seasonReps); err != nil {
		b.Fatal(err)
	}
	find := []string{"trenchcut", "find", "-g", dir, "inside-counter", "set=short"}
	stats := []string{"trenchcut", "stats", "-g", dir, "inside-counter", "set=short"}
	var tables []string
	for _, t := range report.Definitions() {
		tables = append(tables, t.Name)
	}
	rows := []struct {
		name string
		args []string
		cold bool
		// What is promised of the processor's time: of that which decoding takes, or as it is.
		most float64
		time time.Duration
		spent
	}{
		{name: "decode", args: []string{"decode", dir}},
		{name: "find, cold", args: find, cold: true, most: mostCold},
		{name: "stats, cold", args: stats, cold: true, most: mostCold},
		{name: "find, warm", args: find, time: mostWarm},
		{name: "stats, warm", args: stats, time: mostWarm},
		{name: "all tables, warm", args: []string{"trenchcut", "stats", "-g", dir, "--table", strings.Join(tables, ",")}, time: mostTables},
		{name: "stats of all, warm", args: []string{"trenchcut", "stats", "-g", dir}},
		{name: "find all, warm", args: []string{"trenchcut", "find", "-g", dir}},
	}
	cache := filepath.Join(b.TempDir(), "cache")
	for range seasonRuns { // by turns, so that a busy spell of the machine falls on all
		for i := range rows {
			if r := &rows[i]; r.cold {
				if err := os.RemoveAll(cache); err != nil {
					b.Fatal(err)
				}
			}
			rows[i].run(b, cache, rows[i].args...)
		}
	}
	var table strings.Builder
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "\tprocessor s, least\tmedian\tof decoding\twall s, least\tmedian\tMB\t")
	decode, _ := leastAndMedian(rows[0].processor)
	for _, r := range rows {
		least, median := leastAndMedian(r.processor)
		wall, wallMedian := leastAndMedian(r.wall)
		ratio := least.Seconds() / decode.Seconds()
		fmt.Fprintf(w, "%s\t%.2f\t%.2f\t%.2f\t%.2f\t%.2f\t%.0f\t\n", r.name, least.Seconds(), median.Seconds(), ratio, wall.Seconds(), wallMedian.Seconds(), r.megabytes)
		// The least, because whatever else the machine does only adds to it.
		if r.most > 0 && ratio > r.most {
			b.Errorf("%s took %.2f of the time to decode, want at most %.2f", r.name, ratio, r.most)
		}
		if r.time > 0 && least > r.time {
			b.Errorf("%s took %v, want at most %v", r.name, least, r.time)
		}
		if r.megabytes > mostMemory {
			b.Errorf("%s took %.0f MB, want at most %d", r.name, r.megabytes, mostMemory)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	b.Logf("%d reps in %d files, on two cores:\n%s", seasonReps, seasonGames, table.String())
}
