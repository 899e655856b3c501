package content

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// WriteWhole writes a file by rename, so that a reader finds all of data or what was there
// before. Its folder must exist; mode is not narrowed by the umask.
func WriteWhole(path string, data []byte, mode fs.FileMode) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".part-*-"+filepath.Base(path))
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if err := errors.Join(err, tmp.Chmod(mode), tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
