//go:build linux || darwin

package share

import (
	"bytes"
	"errors"

	"golang.org/x/sys/unix"
)

// attributesOf is the extended attributes of a file itself, not of what a link points to:
// the name of each with what it holds.
func attributesOf(path string) ([][]byte, error) {
	size, err := unix.Llistxattr(path, nil)
	if err != nil || size == 0 {
		if errors.Is(err, unix.ENOTSUP) {
			err = nil
		}
		return nil, err
	}
	names := make([]byte, size)
	if size, err = unix.Llistxattr(path, names); err != nil {
		return nil, err
	}
	var list [][]byte
	for name := range bytes.SplitSeq(bytes.TrimRight(names[:size], "\x00"), []byte{0}) {
		size, err := unix.Lgetxattr(path, string(name), nil)
		if err != nil {
			return list, err
		}
		value := make([]byte, size)
		if size, err = unix.Lgetxattr(path, string(name), value); err != nil {
			return list, err
		}
		list = append(list, name, value[:size])
	}
	return list, nil
}
