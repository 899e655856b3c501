//go:build unix

package files

import "syscall"

// noRoom is what the system says where nothing more can be written: the disk, a quota or the
// size of a file is at its end.
var noRoom = []error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG}
