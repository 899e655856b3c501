package terminal

import (
	"errors"
	"io/fs"
	"strings"
)

// Plainly returns the text of an error, and in plain words where a file or folder is missing or may
// not be used.
func Plainly(err error) string {
	said := err.Error()
	var look func(error)
	look = func(err error) { // every error in err, where errors.As stops at the first
		//lint:ignore errorlint it is one of them
		if path, ok := err.(*fs.PathError); ok {
			switch {
			case errors.Is(path, fs.ErrNotExist):
				said = strings.ReplaceAll(said, path.Error(), "there is no file or folder "+path.Path)
			case errors.Is(path, fs.ErrPermission):
				said = strings.ReplaceAll(said, path.Error(), "this account may not use "+path.Path)
			}
		}
		//lint:ignore errorlint likewise
		switch within := err.(type) {
		case interface{ Unwrap() error }:
			if err := within.Unwrap(); err != nil {
				look(err)
			}
		case interface{ Unwrap() []error }:
			for _, err := range within.Unwrap() {
				look(err)
			}
		}
	}
	look(err)
	return said
}
