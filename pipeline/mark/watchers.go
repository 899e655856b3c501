package mark

import "sync"

// Watchers tells those who wait that something has changed. The zero value is ready to use.
type Watchers struct {
	mu      sync.Mutex
	waiting map[chan struct{}]bool
}

// Watch returns a channel that receives when there is something new, until stop is called. Changes
// that come before the channel is read are told as one.
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
