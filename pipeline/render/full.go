package render

import (
	"errors"
	"fmt"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags/files"
)

// FullError says that there is no room left in a folder: on its disk, by quota, or by the
// limit that the shell set for the size of a file.
type FullError struct {
	Folder string
	Err    error
}

func (e *FullError) Error() string { return fmt.Sprintf("no room is left in %s: %v", e.Folder, e.Err) }

func (e *FullError) Unwrap() error { return e.Err }

// FullIn makes err, of something that was written to folder, a [FullError] where there was
// no room for it.
func FullIn(folder string, err error) error {
	var known *FullError
	if errors.As(err, &known) {
		return err
	}
	if files.Full(err) || errors.Is(err, ffmpeg.ErrFull) {
		return &FullError{folder, err}
	}
	return err
}
