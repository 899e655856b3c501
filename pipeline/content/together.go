package content

import (
	"errors"
	"io/fs"
	"os"
)

// File is where data is to lie.
type File struct {
	Path string
	Data []byte
}

// WriteTogether writes files that belong together: all are written aside before any is
// renamed, and where a rename fails, what the others held before is put back. Their folders
// must exist; mode is narrowed by the umask; links become files, as in [WriteWhole]. Whoever
// kills the process amid the renames leaves some files new and some old, each whole.
func WriteTogether(files []File, mode fs.FileMode) (err error) {
	aside := make([]string, 0, len(files))
	defer func() {
		for _, name := range aside {
			_ = os.Remove(name) // it is gone where all went well
		}
	}()
	for _, f := range files {
		tmp, err := Beside(f.Path, "part", mode)
		if err != nil {
			return err
		}
		aside = append(aside, tmp.Name())
		_, err = tmp.Write(f.Data)
		if err := errors.Join(err, tmp.Close()); err != nil {
			return err
		}
	}
	var back []func() error
	defer func() {
		if err != nil {
			for _, undo := range back {
				err = errors.Join(err, undo())
			}
		}
	}()
	for i, f := range files {
		old, err := os.ReadFile(f.Path)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		was := err == nil
		if err := os.Rename(aside[i], f.Path); err != nil {
			return err
		}
		back = append(back, func() error {
			if !was {
				return os.Remove(f.Path)
			}
			return WriteWhole(f.Path, old, mode)
		})
	}
	return nil
}
