//go:build unix

package share

import (
	"os"

	"golang.org/x/sys/unix"
)

// openPlain opens a file, and neither follows a link nor waits for a pipe.
func openPlain(path string) (*os.File, error) {
	return os.OpenFile(path, os.O_RDONLY|unix.O_NOFOLLOW|unix.O_NONBLOCK, 0)
}
