package session

import (
	"cmp"
	"runtime/debug"
)

// Version is the version of the sources that this program was built from, as Go stamps it: a
// tag of theirs, or the day and name of the commit behind it.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	return cmp.Or(info.Main.Version, "unknown")
}
