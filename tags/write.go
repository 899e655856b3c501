package tags

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrChanged says that a file is no longer what it was when it was read.
var ErrChanged = errors.New("the file was changed by someone else meanwhile: read it again")

// WriteFile puts next in the place of old in the file at path, by rename, so that a
// reader finds the one or the other; the mode of the file stays. It fails with
// [ErrChanged], and writes nothing, where the file does not hold old any more. Nil for old
// means that there must be no such file yet.
func WriteFile(path string, old, next []byte) (err error) {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target // a link stays a link
	}
	mode, err := unchanged(path, old)
	if err != nil {
		return err
	}
	temp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			err = fmt.Errorf("write %s: %w", path, err)
			_ = os.Remove(temp.Name())
		}
	}()
	_, err = temp.Write(next)
	err = errors.Join(err, temp.Chmod(mode), temp.Sync(), temp.Close())
	if err != nil {
		return err
	}
	if _, err = unchanged(path, old); err != nil {
		return err
	}
	return os.Rename(temp.Name(), path)
}

// unchanged is the mode of the file at path, where it holds old still.
func unchanged(path string, old []byte) (fs.FileMode, error) {
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && old == nil:
		return 0o644, nil
	case errors.Is(err, fs.ErrNotExist):
		return 0, fmt.Errorf("%s: %w", path, ErrChanged)
	case err != nil:
		return 0, err
	case old == nil || !bytes.Equal(data, old):
		return 0, fmt.Errorf("%s: %w", path, ErrChanged)
	}
	info, err := os.Stat(path)
	if err != nil {
		return 0, err
	}
	return info.Mode().Perm(), nil
}
