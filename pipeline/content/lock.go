package content

import (
	"context"
	"errors"
	"io/fs"
	"syscall"
	"time"
)

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

// ReadOnly reports whether err says that something cannot be written to: its disk is
// read-only, or it is another user's.
func ReadOnly(err error) bool {
	return errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS)
}
