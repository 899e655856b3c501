package content

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// Lock is a hold on a file or folder that other processes respect. The system lets go of it
// when the process ends, however it ends.
type Lock struct{ file *os.File }

// ErrLocked says that another process holds a file.
var ErrLocked = errors.New("another run is at work on it")

// WaitLock is TryLock that waits for whoever holds the file, until ctx ends.
func WaitLock(ctx context.Context, path string, alone bool) (*Lock, error) {
	for {
		l, err := TryLock(path, alone)
		if !errors.Is(err, ErrLocked) {
			return l, err
		}
		select {
		case <-ctx.Done():
			return nil, context.Cause(ctx)
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// Holds reports whether what is at path now is the file that is locked, and not another that
// was put there since.
func (l *Lock) Holds(path string) bool {
	held, err := l.file.Stat()
	if err != nil {
		return false
	}
	now, err := os.Lstat(path)
	return err == nil && os.SameFile(held, now)
}

// ReadOnly reports whether err says that something cannot be written to: its disk is
// read-only, or it is another user's.
func ReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS)
}
