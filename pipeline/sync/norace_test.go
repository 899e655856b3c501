//go:build !race

package sync

// raced reports whether the race detector is on.
const raced = false
