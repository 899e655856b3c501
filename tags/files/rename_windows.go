package files

import (
	"errors"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// ErrOpen says that another program has a file open and does not let it be replaced.
var ErrOpen = errors.New("another program has it open: close it there, and try again")

// rename puts a file in the place of another. Windows refuses that while a program has either
// open. Scanners and indexers let go of a new file after a moment; what shows it does not.
func rename(from, to string) error {
	const tries = 20
	for try := 1; ; try++ {
		err := os.Rename(from, to)
		refused := errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_ACCESS_DENIED)
		if !refused {
			return err
		}
		if try == tries {
			if isOpen(to) || isOpen(from) {
				return ErrOpen
			}
			return err
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// told is an error in words that say what to do about it.
func told(err error) error {
	if errors.Is(err, windows.ERROR_SHARING_VIOLATION) {
		return ErrOpen
	}
	return err
}

// isOpen reports whether some program has the file at path open.
func isOpen(path string) bool {
	name, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return false
	}
	h, err := windows.CreateFile(name, windows.GENERIC_READ|windows.DELETE, 0, nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL, 0)
	if err == nil {
		_ = windows.CloseHandle(h)
	}
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION)
}
