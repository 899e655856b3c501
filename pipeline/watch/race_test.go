//go:build race

package watch

// raced reports whether the race detector is on.
const raced = true
