package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// File is where data is to lie.
type File struct {
	Path string
	Data []byte
}

// WriteTogether is [Write] for files that belong together. All are written aside before any
// is renamed, and where a rename fails, what the others held before is put back. A process
// that is killed amid the renames leaves some files new and some old, each whole.
func WriteTogether(all []File) error { return together(all, nil) }

// UpdateTogether is [Update] of the file at path, with others as of [WriteTogether].
func UpdateTogether(path string, old, next []byte, others ...File) error {
	return together(append([]File{{path, next}}, others...), func(place string) error { return holds(place, old) })
}

// together is [WriteTogether], where the place of the first file passes a check; nil is none.
func together(all []File, check func(place string) error) (err error) {
	type part struct{ tmp, place string }
	var parts []part
	defer func() {
		for _, p := range parts {
			_ = os.Remove(p.tmp) // it is gone where all went well
		}
	}()
	for _, f := range all {
		err := writing(f.Path, func(place string) error {
			tmp, err := writeBeside(place, f.Data)
			if err == nil {
				parts = append(parts, part{tmp, place})
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	var undo []func() error
	defer func() {
		if err != nil {
			for _, back := range undo {
				err = errors.Join(err, back())
			}
		}
	}()
	for i, p := range parts {
		if i == 0 && check != nil {
			if err := check(p.place); err != nil {
				return fmt.Errorf("write %s: %w", all[i].Path, err)
			}
		}
		old, err := os.ReadFile(p.place)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("write %s: %w", all[i].Path, err)
		}
		was := err == nil
		if err := put(p.tmp, p.place); err != nil {
			return fmt.Errorf("write %s: %w", all[i].Path, err)
		}
		undo = append(undo, func() error {
			if !was {
				return os.Remove(p.place)
			}
			return Write(p.place, old)
		})
	}
	return nil
}
