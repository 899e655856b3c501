package terminal

import (
	"errors"
	"io/fs"
	"strings"
)

// Plainly is what an error says, but of a file or folder that is not there, or may not be
// used, in plain words.
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
