package render_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// told is what a maker tells.
type told struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (b *bench) listen() *told {
	var l told
	b.maker.Log = slog.New(slog.NewJSONHandler(&l, nil))
	return &l
}

func (l *told) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

// want holds what was told since the last time to counts of "message from": each clip is
// told of once.
func (l *told) want(t *testing.T, want ...string) {
	t.Helper()
	l.mu.Lock()
	defer l.mu.Unlock()
	counts := map[string]int{}
	for line := range strings.Lines(l.text.String()) {
		var r struct {
			Msg, From, Clip string
			Seconds         *float64
		}
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		if rendered := r.From == "film" || r.From == "words" || r.Msg == "join"; rendered != (r.Seconds != nil) {
			t.Errorf("%s: seconds %v", line, r.Seconds)
		}
		counts[strings.TrimSpace(r.Msg+" "+r.From)]++
	}
	l.text.Reset()
	var got []string
	for what, n := range counts {
		got = append(got, fmt.Sprintf("%s %d", what, n))
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("told %q, want %q", got, want)
	}
}

func (b *bench) estimate(p *plan.Plan) render.Estimate {
	b.t.Helper()
	e, err := b.maker.Estimate(context.Background(), p)
	if err != nil {
		b.t.Fatal(err)
	}
	return e
}

// checkEstimate holds an estimate to the reel, and its range to width.
func (b *bench) checkEstimate(e render.Estimate, reel string, width float64) {
	b.t.Helper()
	info, err := os.Stat(reel)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Logf("estimate %d to %d, %d of %d known: the reel takes %d", e.Low, e.High, e.Kept, e.Segments, info.Size())
	if info.Size() < e.Low || info.Size() > e.High {
		b.t.Errorf("the reel takes %d bytes, estimated were %d to %d", info.Size(), e.Low, e.High)
	}
	if float64(e.High) > width*float64(e.Low) {
		b.t.Errorf("estimate %d to %d: the most is more than %.1f times the least", e.Low, e.High, width)
	}
}
