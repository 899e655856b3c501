package files

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/sys/windows"
)

// ErrOpen says that another program has a file open and does not let it be replaced.
var ErrOpen = errors.New("another program has it open: close it there, and try again")

// For so long scanners and indexers may have a file open that nobody else has.
const (
	tries = 20
	pause = 50 * time.Millisecond
)

// rename puts a file in the place of another. Windows refuses that while a program has either
// open. Scanners and indexers let go of a new file after a moment; what shows it does not.
func rename(from, to string) error {
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
		time.Sleep(pause)
	}
}

// Free fails where another program has the file at path open, so that it cannot be replaced. It is
// for before the work.
func Free(path string) error {
	for try := 1; isOpen(path); try++ {
		if try == tries {
			return fmt.Errorf("%s cannot be replaced: %w", path, ErrOpen)
		}
		time.Sleep(pause)
	}
	return nil
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
	name, err := LongName(path)
	if err != nil {
		return false
	}
	h, err := windows.CreateFile(name, windows.GENERIC_READ|windows.DELETE, 0, nil, windows.OPEN_EXISTING, windows.FILE_ATTRIBUTE_NORMAL, 0)
	if err == nil {
		_ = windows.CloseHandle(h)
	}
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION)
}

// LongName is path as Windows takes it where it has more than 260 letters, for calls that Go does
// not make.
func LongName(path string) (*uint16, error) {
	whole, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	switch share, onShare := strings.CutPrefix(whole, `\\`); {
	case strings.HasPrefix(whole, `\\?\`), strings.HasPrefix(whole, `\\.\`):
	case onShare:
		whole = `\\?\UNC\` + share
	default:
		whole = `\\?\` + whole
	}
	return windows.UTF16PtrFromString(whole)
}
