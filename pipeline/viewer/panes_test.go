package viewer_test

import (
	"bytes"
	"context"
	"fmt"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"trenchcut/pipeline/demo/strip"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

// settled waits until no run is at work.
func settled(t *testing.T, v *viewer.Viewer) (started int) {
	t.Helper()
	for range 1200 {
		started, live := v.Runs()
		if len(live) == 0 {
			return started
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the runs never end")
	return 0
}

// One run decodes a window, and more come as one steps, ahead of it.
func TestRuns(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"long-groups.mp4", rate2997, 700, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	look := func(n tags.Frame) {
		t.Helper()
		if got, err := shown(t, v, f, n); err != nil || got != n {
			t.Fatalf("frame %d shows %d (%v)", n, got, err)
		}
	}
	look(300)
	if started := settled(t, v); started != 2 {
		t.Errorf("a jump takes %d runs, want one there and one for what is before", started)
	}
	for n := tags.Frame(301); n < 360; n++ {
		look(n)
	}
	if started := settled(t, v); started != 3 {
		t.Errorf("sixty steps later %d runs were started, want one more", started)
	}
	for n := tags.Frame(359); n > 180; n-- {
		look(n)
	}
	if started := settled(t, v); started != 4 {
		t.Errorf("back across all of that %d runs were started, want one more", started)
	}
	for n := tags.Frame(181); n < 360; n++ {
		look(n)
	}
	if started := settled(t, v); started != 4 {
		t.Errorf("forth again %d runs were started, want no more", started)
	}
}

// What is no longer wanted is stopped.
func TestJumpsAway(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	f, err := v.Add(t.Context(), b.film(footage{"long-groups.mp4", rate2997, 700, true, nil}))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []tags.Frame{600, 10, 500, 20, 690} {
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() {
			defer close(done)
			v.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(http.MethodGet, fmt.Sprintf("/%s/stills/%d.jpg?view=test", f.ID, n), nil).WithContext(ctx))
		}()
		time.Sleep(20 * time.Millisecond)
		stop() // as a page does that jumps on
		<-done
	}
	if got, err := shown(t, v, f, 300); err != nil || got != 300 {
		t.Fatalf("frame 300 shows %d (%v)", got, err)
	}
	_, live := v.Runs()
	for _, span := range live {
		if span.Out <= 180 || span.In >= 420 {
			t.Errorf("frames %d to %d are decoded, which nobody looks at", span.In, span.Out)
		}
	}
	if len(live) > 2 {
		t.Errorf("%d runs are at work around one frame", len(live))
	}
}

// Many panes at once, which jump and turn away, see the frames that they ask for, in little
// memory.
func TestManyPanes(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	const room = 1 << 20
	v := b.viewer(viewer.Options{Room: room})
	f, err := v.Add(t.Context(), b.film(footage{"short-groups.mp4", rate2997, 700, true, []string{"-g", "30"}}))
	if err != nil {
		t.Fatal(err)
	}
	var group sync.WaitGroup
	for pane := range uint64(4) {
		group.Go(func() {
			r := rand.New(rand.NewPCG(pane, 7))
			n := tags.Frame(0)
			for range 25 {
				n = min(max(n+tags.Frame(r.IntN(5)-2), 0), 699)
				if r.IntN(5) == 0 {
					n = tags.Frame(r.IntN(700))
				}
				ctx, stop := context.WithCancel(t.Context())
				if r.IntN(4) == 0 {
					time.AfterFunc(time.Duration(r.IntN(100))*time.Millisecond, stop)
				}
				w := httptest.NewRecorder()
				v.ServeHTTP(w, httptest.NewRequest(http.MethodGet, fmt.Sprintf("/%s/stills/%d.jpg?view=%d", f.ID, n, pane), nil).WithContext(ctx))
				gone := ctx.Err() != nil
				stop()
				if gone {
					continue
				}
				img, err := jpeg.Decode(bytes.NewReader(w.Body.Bytes()))
				if err != nil {
					t.Errorf("frame %d: %d %.100s", n, w.Code, w.Body)
					continue
				}
				if got, err := strip.Read(img, img.Bounds()); err != nil || got != n {
					t.Errorf("frame %d shows %d (%v)", n, got, err)
				}
			}
		})
	}
	group.Wait()
	if taken := v.Taken(); taken > room {
		t.Errorf("%d bytes are kept, want at most %d", taken, room)
	}
}
