// Package brief leaves out of tests that are to be short (go test -short) what takes long.
package brief

import "testing"

// Only skips a test where tests are to be short, unless it is one of those that run then too.
func Only(t *testing.T, short bool) {
	t.Helper()
	if !short && testing.Short() {
		t.Skip("make full runs it")
	}
}
