// Package render makes segments and joins them to reels.
package render

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/plan"
	"trenchcut/tags/files"
)

// Store keeps rendered segments by key.
type Store interface {
	// Lookup reports whether the store has the segment, whole and as it was put there.
	Lookup(ctx context.Context, key plan.Key, s plan.Segment) (bool, error)
	// Open is the path of the segment's movie on this machine, for reading. Whether the
	// store has it is Lookup's to say.
	Open(ctx context.Context, key plan.Key) (string, error)
	// Put takes over the finished movie at path, which vanishes from there.
	Put(ctx context.Context, key plan.Key, path string) error
}

// Dir is a Store in a folder of this machine. A movie appears in it by rename, so it is
// there whole or not at all.
type Dir struct{ Root string }

func (d Dir) path(key plan.Key) string {
	return filepath.Join(d.Root, string(key[:2]), string(key)+".mov")
}

// Lookup implements Store: a movie whose tables are not those of s, or whose checksum does not
// hold, counts as absent. It reads the whole movie.
func (d Dir) Lookup(_ context.Context, key plan.Key, s plan.Segment) (bool, error) {
	_, err := verify(d.path(key), s)
	if err == nil {
		err = files.CheckSeal(d.path(key))
	}
	switch {
	case err == nil:
		return true, nil
	case errors.Is(err, fs.ErrPermission):
		return false, fmt.Errorf("look up a segment: %w", err)
	default:
		return false, nil
	}
}

// Open implements Store. A segment that is opened is used, which keeps it from [Dir.Prune].
func (d Dir) Open(_ context.Context, key plan.Key) (string, error) {
	now := time.Now()
	_ = os.Chtimes(d.path(key), now, now) // of a store that cannot be written to nothing is pruned
	return d.path(key), nil
}

// Put implements Store. It puts the movie's checksum at its end.
func (d Dir) Put(_ context.Context, key plan.Key, path string) error {
	to := d.path(key)
	if err := files.SealFile(path); err != nil {
		return fmt.Errorf("keep a segment: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return fmt.Errorf("keep a segment: %w", err)
	}
	if err := os.Rename(path, to); err != nil {
		return fmt.Errorf("keep a segment: %w", err)
	}
	return nil
}

// Take takes over the movie at path, which the store of another machine kept under key, seal
// and all, and which [CheckKept] has passed; it vanishes from there.
func (d Dir) Take(key plan.Key, path string) error {
	if err := os.MkdirAll(filepath.Dir(d.path(key)), 0o777); err != nil {
		return FullIn(d.Root, fmt.Errorf("take a segment: %w", err))
	}
	if err := os.Rename(path, d.path(key)); err != nil {
		return FullIn(d.Root, fmt.Errorf("take a segment: %w", err))
	}
	return nil
}

// CheckKept holds the movie at path, which some store kept, to its seal and to s: its frames
// and its samples of sound.
func CheckKept(path string, s plan.Segment) error {
	if _, err := verify(path, s); err != nil {
		return fmt.Errorf("take a segment: %w", err)
	}
	if err := files.CheckSeal(path); err != nil {
		return fmt.Errorf("take a segment: %w", err)
	}
	return nil
}

// Temp makes a folder for work in progress on the store's own file system, so that Put
// can rename out of it.
func (d Dir) Temp() (string, error) {
	if err := os.MkdirAll(d.work(), 0o777); err != nil {
		return "", fmt.Errorf("make a work folder in the cache: %w", err)
	}
	dir, err := os.MkdirTemp(d.work(), "segment-")
	if err != nil {
		return "", fmt.Errorf("make a work folder in the cache: %w", err)
	}
	return dir, nil
}

// Reading makes a folder for work that only reads the store, and returns the store as it is
// to be named from there. Where the store cannot be written to, the folder is elsewhere, and
// a link in it leads to the store.
func (d Dir) Reading() (dir string, store Dir, err error) {
	dir, err = d.Temp()
	if !content.ReadOnly(err) {
		return dir, d, err
	}
	root, err := filepath.Abs(d.Root)
	if err != nil {
		return "", d, fmt.Errorf("make a work folder: %w", err)
	}
	if dir, err = os.MkdirTemp("", "trenchcut-"); err != nil {
		return "", d, fmt.Errorf("make a work folder: %w", err)
	}
	store = Dir{filepath.Join(dir, "segments")}
	if err := os.Symlink(root, store.Root); err != nil {
		os.RemoveAll(dir)
		return "", d, fmt.Errorf("make a work folder: %w", err)
	}
	return dir, store, nil
}

func (d Dir) work() string { return filepath.Join(d.Root, "work") }

// errCount says that a movie is not as long as its segment.
var errCount = errors.New("the clip has the wrong length: the film may be damaged or shorter than it says")

// verify holds the movie at path to what s must be: its frames, its samples.
func verify(path string, s plan.Segment) (movie, error) {
	m, err := readMovie(path)
	if err != nil {
		return m, err
	}
	if m.frames != int64(s.Frames()) || m.samples != s.Samples() {
		return m, fmt.Errorf("%w: %d frames and %d samples of sound, want %d and %d", errCount,
			m.frames, m.samples, s.Frames(), s.Samples())
	}
	return m, nil
}

// Check reports whether work can be done in the store.
func (d Dir) Check() error {
	dir, err := d.Temp()
	if err != nil {
		return err
	}
	return os.RemoveAll(dir)
}
