package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// Policy says which files that exist may be replaced: none, but those that Ours knows, or any
// plain file with Force. The zero Policy is the rule for what a user names.
type Policy struct {
	Force bool
	// Ours reports whether this program wrote the file at a path, as it is there. Nil is for
	// files of which that cannot be told.
	Ours func(path string) bool
}

// ExistsError says that a file may not be replaced without --force.
type ExistsError struct {
	Path    string
	Foreign bool // a file of this program's own would have been replaced
}

func (e *ExistsError) Error() string {
	if e.Foreign {
		return fmt.Sprintf("%s exists and was not written by trenchcut; use --force to replace it", e.Path)
	}
	return fmt.Sprintf("%s exists; use --force to replace it", e.Path)
}

// Check fails where a file at one of paths may not be replaced: with an [ExistsError] for each that
// --force would replace, and with another error for what cannot be replaced at all. Call it before
// the work; writing checks again.
func (p Policy) Check(paths ...string) error {
	var wrong []error
	for _, path := range paths {
		wrong = append(wrong, p.check(path))
	}
	return errors.Join(wrong...)
}

func (p Policy) check(path string) error {
	if err := Takes(path); err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	switch _, err := placeOf(path); {
	case err != nil:
		return fmt.Errorf("%s cannot be replaced: %w", path, err)
	case p.Force, p.Ours != nil && p.Ours(path):
		return Free(path)
	default:
		return &ExistsError{Path: path, Foreign: p.Ours != nil}
	}
}

// Write is [Write] where the policy allows it.
func (p Policy) Write(path string, data []byte) error {
	if err := p.Check(path); err != nil {
		return err
	}
	return Write(path, data)
}
