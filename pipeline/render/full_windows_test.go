package render

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
	"testing"
)

// What Windows says of a full disk, by number, is known for one, however it is wrapped; what it says
// of a disk that is gone is not.
func TestFullDisk(t *testing.T) {
	for code, full := range map[syscall.Errno]bool{
		112: true, 39: true, 1295: true, 223: true, // of the disk, of an older call, of a quota, of FAT's 4 GB
		21: false, 5: false, 32: false, // not ready, not allowed, open elsewhere
	} {
		for _, err := range []error{code, &fs.PathError{Op: "write", Path: `D:\reel.mp4`, Err: code}, errors.Join(os.ErrClosed, os.NewSyscallError("WriteFile", code))} {
			var known *FullError
			if errors.As(FullIn(`D:\`, err), &known) != full {
				t.Errorf("%d, %T: it is taken for a full disk: %v", code, err, !full)
			}
		}
	}
}
