package exchange

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"trenchcut/tags/files"
)

// Write makes the folder: all of it, or nothing. It is made aside, under a hidden name, and takes
// its own when it is whole; what a run that was killed left aside is taken away by the next.
// progress, which may be nil, is told how many of Bytes of film are there.
func (t *Taking) Write(ctx context.Context, progress func(done int64)) (err error) {
	if t.Faults.Err() != nil {
		return t.Faults
	}
	if err := t.folder.Check(); err != nil {
		return err
	}
	root, err := os.OpenRoot(t.folder.From)
	if err != nil {
		return err
	}
	defer root.Close()
	into := filepath.Clean(t.folder.Into)
	aside := filepath.Join(filepath.Dir(into), "."+filepath.Base(into)+".taking-in")
	if err := os.RemoveAll(aside); err != nil {
		return fmt.Errorf("take away what an earlier run left: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(aside))
		}
	}()
	if err := os.MkdirAll(aside, 0o777); err != nil {
		return err
	}
	for _, f := range t.files {
		place := filepath.Join(aside, f.Path)
		if err := os.MkdirAll(filepath.Dir(place), 0o777); err != nil {
			return err
		}
		if err := files.Write(place, f.Data); err != nil {
			return err
		}
	}
	done := int64(0)
	for _, name := range t.films {
		place := filepath.Join(aside, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(place), 0o777); err != nil {
			return err
		}
		err := t.takeFilm(ctx, root, name, place, func(more int64) {
			if done += more; progress != nil {
				progress(done)
			}
		})
		if err != nil {
			return fmt.Errorf("take in %s: %w", name, err)
		}
	}
	if _, err := os.Lstat(into); err == nil {
		return fmt.Errorf("%s was made meanwhile", into)
	}
	return os.Rename(aside, into)
}

// takeFilm copies a film, or links to it where that is wanted and can be done.
func (t *Taking) takeFilm(ctx context.Context, root *os.Root, name, place string, tell func(int64)) error {
	info, err := root.Lstat(name)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return errors.New("it is no plain file any more")
	}
	if t.folder.Link && os.Link(filepath.Join(t.folder.From, filepath.FromSlash(name)), place) == nil {
		tell(info.Size())
		return nil
	}
	from, err := root.Open(name)
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := os.OpenFile(place, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	for {
		if ctx.Err() != nil {
			return errors.Join(context.Cause(ctx), to.Close())
		}
		n, err := io.CopyN(to, from, 8<<20)
		tell(n)
		if errors.Is(err, io.EOF) {
			return errors.Join(to.Sync(), to.Close())
		}
		if err != nil {
			return errors.Join(err, to.Close())
		}
	}
}
