package content

import (
	"context"
	"errors"
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
