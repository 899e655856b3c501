//go:build race

package film

// raced reports whether the race detector is on.
const raced = true
