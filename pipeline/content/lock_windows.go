package content

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"golang.org/x/sys/windows"

	"trenchcut/tags/files"
)

// lockedByte is the byte of a file that a lock is on: far behind its end, because nobody else
// could read or write a byte that is locked.
var lockedByte = windows.Overlapped{Offset: 1<<32 - 2, OffsetHigh: 1<<31 - 1}

// anyhow lets others read, write, rename and remove a file that is open.
const anyhow = windows.FILE_SHARE_READ | windows.FILE_SHARE_WRITE | windows.FILE_SHARE_DELETE

// folderLock is the file in a folder that stands for it while it is locked, because a folder
// takes no lock here. The system removes it with the lock.
const folderLock = ".trenchcut-lock"

// TryLock takes hold of the file at path, which it creates, or of the folder at path: alone,
// or, a file, with others who share. It fails with [ErrLocked] where another process holds it
// otherwise. What cannot be written to can be shared but not held alone.
func TryLock(path string, alone bool) (*Lock, error) {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return lockFolder(path)
	}
	f, err := openFile(path, windows.GENERIC_READ|windows.GENERIC_WRITE, anyhow, windows.OPEN_ALWAYS, 0)
	if !alone && errors.Is(err, fs.ErrPermission) {
		f, err = openFile(path, windows.GENERIC_READ, anyhow, windows.OPEN_EXISTING, 0)
	}
	if err != nil {
		return nil, fmt.Errorf("lock: %w", err)
	}
	l := &Lock{f}
	if err := l.try(alone, windows.LOCKFILE_FAIL_IMMEDIATELY); err != nil {
		f.Close()
		if errors.Is(err, windows.ERROR_LOCK_VIOLATION) {
			return nil, ErrLocked
		}
		return nil, err
	}
	return l, nil
}

// lockFolder holds a folder alone: whoever has its file open lets nobody else open it.
func lockFolder(path string) (*Lock, error) {
	name := path + string(os.PathSeparator) + folderLock
	f, err := openFile(name, windows.GENERIC_READ|windows.GENERIC_WRITE, 0, windows.OPEN_ALWAYS, windows.FILE_FLAG_DELETE_ON_CLOSE|windows.FILE_ATTRIBUTE_HIDDEN)
	switch {
	case errors.Is(err, windows.ERROR_SHARING_VIOLATION):
		return nil, ErrLocked
	case err != nil:
		return nil, fmt.Errorf("lock %s: %w", path, err)
	}
	return &Lock{f}, nil
}

func openFile(path string, access, share, create, attributes uint32) (*os.File, error) {
	name, err := files.LongName(path)
	if err != nil {
		return nil, err
	}
	h, err := windows.CreateFile(name, access, share, nil, create, windows.FILE_ATTRIBUTE_NORMAL|attributes, 0)
	if err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	return os.NewFile(uintptr(h), path), nil
}

// Share lets others share a file that was held alone. It may have to wait for one who was
// quicker.
func (l *Lock) Share() error {
	if err := l.letGo(); err != nil {
		return err
	}
	return l.try(false, 0)
}

// Unlock lets go.
func (l *Lock) Unlock() {
	_ = l.letGo() // closing the file does, but later
	l.file.Close()
}

func (l *Lock) try(alone bool, how uint32) error {
	if alone {
		how |= windows.LOCKFILE_EXCLUSIVE_LOCK
	}
	at := lockedByte
	if err := windows.LockFileEx(windows.Handle(l.file.Fd()), how, 0, 1, 0, &at); err != nil {
		return fmt.Errorf("lock %s: %w", l.file.Name(), err)
	}
	return nil
}

func (l *Lock) letGo() error {
	at := lockedByte
	if err := windows.UnlockFileEx(windows.Handle(l.file.Fd()), 0, 1, 0, &at); err != nil {
		return fmt.Errorf("unlock %s: %w", l.file.Name(), err)
	}
	return nil
}
