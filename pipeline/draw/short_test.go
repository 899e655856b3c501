package draw

import "testing"

// fewer is an eighth of n where tests are to be short.
func fewer(n int) int {
	if testing.Short() {
		return n / 8
	}
	return n
}
