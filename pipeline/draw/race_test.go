//go:build race

package draw

// fewer is an eighth of n: the race detector makes drawing ten times as slow.
func fewer(n int) int { return n / 8 }
