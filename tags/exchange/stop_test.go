package exchange

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// countdown is a context that ends when it is asked for the nth time whether it has.
type countdown struct {
	context.Context
	cancel context.CancelFunc
	mu     sync.Mutex
	asked  int
	n      int
}

func (c *countdown) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.asked++; c.asked == c.n {
		c.cancel()
	}
	return c.Context.Err()
}

// An import that is stopped stops at the row it is at, and has changed nothing.
func TestImportStops(t *testing.T) {
	const rows = 100
	sheet := "Play,Down,Distance\n"
	plays := "trenchcut: 1\ngame: {id: wk1}\nfilm: {endzone: {file: end.mp4}}\nplays:\n"
	for i := range rows {
		sheet += fmt.Sprintf("%d,3,8\n", i+1)
		plays += fmt.Sprintf("  - {play: %d, down: 3}\n", i+1)
	}
	v := vocabulary(t)
	for _, n := range []int{1, 20, rows + 20} { // as it begins, amid the sheet, amid the tag file
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		c := &countdown{Context: ctx, cancel: cancel, n: n}
		change, err := Merge(c, "wk1.game.yaml", []byte(plays), sheetOf(t, "s.csv", []byte(sheet)), nil, v)
		if !errors.Is(err, context.Canceled) || change != nil {
			t.Errorf("stopped at step %d: %v, error %v", n, change, err)
		}
		if c.asked > n+3 { // that it was stopped is asked once more on the way out
			t.Errorf("stopped at step %d, it took %d steps more", n, c.asked-n)
		}
	}
	dir := t.TempDir()
	into := filepath.Join(dir, "wk1.game.yaml")
	if err := os.WriteFile(filepath.Join(dir, "s.csv"), []byte(sheet), 0o666); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := (Import{Sheet: filepath.Join(dir, "s.csv"), Into: into}).Read(ctx, v); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped before it began: error %v", err)
	}
	if _, err := os.Stat(into); !strings.Contains(fmt.Sprint(err), "no such file") {
		t.Errorf("a tag file is there: %v", err)
	}
}

// An import tells of each stage how far it is, up to its end.
func TestProgress(t *testing.T) {
	dir := t.TempDir()
	sheet, into := filepath.Join(dir, "s.csv"), filepath.Join(dir, "wk1.game.yaml")
	if err := os.WriteFile(sheet, []byte("Play,Down\n1,1\n2,2\n\n3,3\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	const want = "opening the sheet 0/1 1/1, reading rows 1/4 2/4 3/4 4/4, merging plays 1/3 2/3 3/3, checking the tag file 0/1 1/1"
	for _, to := range []string{"a new tag file", "one that is there"} {
		var told strings.Builder
		last := Stage("")
		i := Import{Sheet: sheet, Into: into, Progress: func(stage Stage, done, total int) {
			if stage != last {
				fmt.Fprintf(&told, ", %s", stage)
				last = stage
			}
			fmt.Fprintf(&told, " %d/%d", done, total)
		}}
		change, err := i.Read(t.Context(), vocabulary(t))
		if err == nil {
			err = change.Write()
		}
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimPrefix(told.String(), ", "); got != want {
			t.Errorf("into %s: told %s", to, got)
		}
	}
}
