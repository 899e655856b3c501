//go:build !linux && !darwin

package files

import (
	"io/fs"
	"os"
)

// keep gives tmp the mode of the file at place.
func keep(tmp, _ string, info fs.FileInfo) error { return os.Chmod(tmp, info.Mode().Perm()) }
