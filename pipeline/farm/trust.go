package farm

import (
	"context"
	"encoding/json"
	"strings"
	"sync"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/tags/files"
)

// trust is which workers render what this machine renders. That a segment is as long as it must
// be does not show that its pictures are right, so of each worker one segment is rendered here
// too, and the two must be the same bytes. It finds machines that are broken or set up wrong; it
// is no defence against one whose owner wants to cheat.
type trust struct {
	file string // where it is kept; empty keeps it for this run
	kit  string

	mu      sync.Mutex
	workers map[string]*verdict
}

// verdict is what is known of a worker.
type verdict struct {
	known chan struct{} // closed once it is
	right bool
	why   string // it is not right
}

// trusted is for how long a worker need not be tried again.
const trusted = 7 * 24 * time.Hour

// mostTrust bounds the file of trust.
const mostTrust = 1 << 20

// name is a worker with a toolchain.
func (t *trust) name(worker string) string { return worker + " " + t.kit }

// of returns the verdict on a worker. Where mine is true, nobody has tried the worker yet: the
// caller must try it and then call decide or forget.
func (t *trust) of(worker string) (v *verdict, mine bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.workers == nil {
		t.workers = map[string]*verdict{}
		t.read()
	}
	v = t.workers[worker]
	if v == nil {
		v = &verdict{known: make(chan struct{})}
		t.workers[worker] = v
		return v, true
	}
	return v, false
}

// wait waits for the verdict and reports whether the worker is right; it is false when ctx ends
// first.
func (v *verdict) wait(ctx context.Context) bool {
	select {
	case <-v.known:
		return v.right
	case <-ctx.Done():
		return false
	}
}

// decide sets the verdict on a worker; why says what is wrong with it, and is empty where nothing
// is. A bad verdict stays.
func (t *trust) decide(worker, why string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	v := t.workers[worker]
	select {
	case <-v.known:
		if !v.right {
			return // one good segment does not undo a bad one
		}
		v = &verdict{known: make(chan struct{})}
		t.workers[worker] = v
	default:
	}
	v.right, v.why = why == "", why
	close(v.known)
	if v.right {
		t.write(worker)
	}
}

// forget gives up a trial without a verdict. Those who wait for it are told that the worker is not
// right.
func (t *trust) forget(worker string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if v := t.workers[worker]; v != nil {
		select {
		case <-v.known:
			return
		default:
		}
		v.why = "it could not be tried"
		close(v.known)
		delete(t.workers, worker)
	}
}

// kept is when each worker was found right.
func (t *trust) kept() map[string]time.Time {
	at := map[string]time.Time{}
	if t.file == "" {
		return at
	}
	if data, err := files.ReadSealed(t.file, mostTrust); err == nil {
		_ = json.Unmarshal(data, &at) // what is damaged is found out anew
	}
	return at
}

func (t *trust) read() {
	for name, at := range t.kept() {
		if worker, ok := strings.CutSuffix(name, " "+t.kit); ok && time.Since(at).Abs() < trusted {
			v := &verdict{known: make(chan struct{}), right: true}
			close(v.known)
			t.workers[worker] = v
		}
	}
}

func (t *trust) write(worker string) {
	if t.file == "" {
		return
	}
	at := t.kept()
	for name, when := range at {
		if time.Since(when).Abs() > trusted {
			delete(at, name)
		}
	}
	at[t.name(worker)] = time.Now()
	if data, err := json.Marshal(at); err == nil {
		_ = files.WriteSealed(t.file, data) // else it is found out anew
	}
}

// sameBytes reports whether two files hold the same.
func sameBytes(ctx context.Context, x, y string) (bool, error) {
	a, err := content.Hash(ctx, x)
	if err != nil {
		return false, err
	}
	b, err := content.Hash(ctx, y)
	return a == b, err
}
