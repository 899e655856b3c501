package mark

import "sync"

// Watchers is who waits for something to change. Its zero value has nobody.
type Watchers struct {
	mu      sync.Mutex
	waiting map[chan struct{}]bool
}

// Watch gives a channel that is told when there is something new, until stop is called. What is
// told while it holds word already is one and the same.
func (w *Watchers) Watch() (changes <-chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.waiting == nil {
		w.waiting = map[chan struct{}]bool{}
	}
	w.waiting[c] = true
	return c, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.waiting, c)
	}
}

// Tell tells all of them. It waits for nobody.
func (w *Watchers) Tell() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for c := range w.waiting {
		select {
		case c <- struct{}{}:
		default:
		}
	}
}
