//go:build unix

package content

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

// TryLock takes hold of the file at path, which it creates, or of the folder at path: alone,
// or with others who share. It fails with [ErrLocked] where another process holds it
// otherwise. What cannot be written to can be shared but not held alone.
func TryLock(path string, alone bool) (*Lock, error) {
	flags := os.O_CREATE | os.O_RDWR
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		flags = os.O_RDONLY
	}
	f, err := os.OpenFile(path, flags, 0o666)
	if !alone && ReadOnly(err) {
		f, err = os.Open(path)
	}
	if err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	l := &Lock{f}
	if err := l.try(alone); err != nil {
		f.Close()
		return nil, err
	}
	return l, nil
}

// Share lets others share what was held alone. It may have to wait for one who was quicker.
func (l *Lock) Share() error { return flock(l.file, syscall.LOCK_SH) }

// Unlock lets go. It does not rely on closing the file: a process that is just being started
// has a copy of every open file for a moment, and the lock would last as long as the copy.
func (l *Lock) Unlock() {
	_ = flock(l.file, syscall.LOCK_UN)
	l.file.Close()
}

func (l *Lock) try(alone bool) error {
	how := syscall.LOCK_SH
	if alone {
		how = syscall.LOCK_EX
	}
	err := flock(l.file, how|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrLocked
	}
	return err
}

func flock(f *os.File, how int) error {
	for {
		err := syscall.Flock(int(f.Fd()), how)
		if errors.Is(err, syscall.EINTR) {
			continue
		}
		if err != nil {
			return fmt.Errorf("lock %s: %w", f.Name(), err)
		}
		return nil
	}
}
