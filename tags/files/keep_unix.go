//go:build linux || darwin

package files

import (
	"bytes"
	"io/fs"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// keep gives tmp the mode of the file at place, and as far as the user may its owner, group
// and extended attributes.
func keep(tmp, place string, info fs.FileInfo) error {
	if owned, ok := info.Sys().(*syscall.Stat_t); ok {
		// Each by itself: whoever may not give a file away may give it to a group of his.
		_ = os.Chown(tmp, -1, int(owned.Gid))
		_ = os.Chown(tmp, int(owned.Uid), -1)
	}
	if err := os.Chmod(tmp, info.Mode().Perm()); err != nil {
		return err
	}
	for _, name := range attributes(place) {
		if value, ok := attribute(place, name); ok {
			_ = unix.Setxattr(tmp, name, value, 0)
		}
	}
	return nil
}

// attributes is the names of a file's extended attributes.
func attributes(path string) []string {
	size, err := unix.Listxattr(path, nil)
	if err != nil || size == 0 {
		return nil
	}
	list := make([]byte, size)
	if size, err = unix.Listxattr(path, list); err != nil {
		return nil
	}
	var names []string
	for name := range bytes.SplitSeq(list[:size], []byte{0}) {
		if len(name) > 0 {
			names = append(names, string(name))
		}
	}
	return names
}

func attribute(path, name string) ([]byte, bool) {
	size, err := unix.Getxattr(path, name, nil)
	if err != nil {
		return nil, false
	}
	value := make([]byte, size)
	if size > 0 {
		if size, err = unix.Getxattr(path, name, value); err != nil {
			return nil, false
		}
	}
	return value[:size], true
}
