package session

import (
	"cmp"
	"runtime/debug"
)

// stamped is the version that make dist gives a build, by the linker's -X.
var stamped string

// Version is what the build says of this program: what it was stamped with, or else what Go
// knows of the sources.
func Version() string {
	if stamped != "" {
		return stamped
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	return cmp.Or(info.Main.Version, "unknown")
}
