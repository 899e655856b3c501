package files

import (
	"errors"
	"slices"
)

// Full reports whether err says that there was no room: on the disk, by quota, or by the limit that
// the shell set for the size of a file.
func Full(err error) bool {
	return slices.ContainsFunc(noRoom, func(none error) bool { return errors.Is(err, none) })
}
