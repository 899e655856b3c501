package content

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// Beside creates an empty file in the folder of path, for content that will be renamed to
// path once it is whole. Its name is "." + mark + a number + path's own. Its mode is that
// of any new file: mode, narrowed by the umask.
func Beside(path, mark string, mode fs.FileMode) (*os.File, error) {
	dir, base := filepath.Split(path)
	for {
		name := fmt.Sprintf("%s.%s-%08x-%s", dir, mark, rand.Uint32(), base)
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_RDWR, mode)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}

// Spare is Beside for who writes the file by its name: only its name is left open.
func Spare(path, mark string, mode fs.FileMode) (string, error) {
	f, err := Beside(path, mark, mode)
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// WriteWhole writes a file by rename, so that a reader finds all of data or what was there
// before. Its folder must exist; mode is narrowed by the umask.
func WriteWhole(path string, data []byte, mode fs.FileMode) error {
	tmp, err := Beside(path, "part", mode)
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if err := errors.Join(err, tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
