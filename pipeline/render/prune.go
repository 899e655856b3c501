package render

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"trenchcut/pipeline/content"
)

// Usage is what a store holds.
type Usage struct {
	Segments int
	Bytes    int64
	Oldest   time.Time // when the segment was used that was not used for longest; zero is unknown
}

// ErrBusy says that a reel is being made from the store.
var ErrBusy = errors.New("a reel is being made: try again when it is done")

type kept struct {
	path string
	info fs.FileInfo
}

// Usage counts what is in d; a store that is not there holds nothing.
func (d Dir) Usage() (Usage, error) {
	list, err := d.kept()
	var u Usage
	for _, k := range list {
		u.add(k)
	}
	if i := slices.IndexFunc(list, func(k kept) bool { return !k.used().IsZero() }); i >= 0 {
		u.Oldest = list[i].used()
	}
	return u, err
}

// Prune removes the segments that were not used for longest until d holds at most so many
// bytes. It fails with [ErrBusy], and removes nothing, while a reel is being made.
func (d Dir) Prune(most int64) (removed Usage, err error) {
	if _, err := os.Stat(d.Root); errors.Is(err, fs.ErrNotExist) {
		return removed, nil
	}
	lock, err := content.TryLock(d.lock(), true)
	if errors.Is(err, content.ErrLocked) {
		return removed, ErrBusy
	}
	if err != nil {
		return removed, err
	}
	defer lock.Unlock()
	list, err := d.kept()
	if err != nil {
		return removed, err
	}
	var bytes int64
	for _, k := range list {
		bytes += k.info.Size()
	}
	for _, k := range list {
		if bytes <= most {
			break
		}
		if err := os.Remove(k.path); err != nil {
			return removed, fmt.Errorf("prune the cache: %w", err)
		}
		bytes -= k.info.Size()
		removed.add(k)
	}
	return removed, nil
}

// add counts k, which is a segment or the plan of a reel.
func (u *Usage) add(k kept) {
	u.Bytes += k.info.Size()
	if filepath.Ext(k.path) == ".mov" {
		u.Segments++
	}
}

// kept is every segment and every plan, that which was not used for longest first.
func (d Dir) kept() ([]kept, error) {
	root := os.DirFS(d.Root)
	paths, err := fs.Glob(root, "[0-9a-f][0-9a-f]/*.mov")
	plans, errPlans := fs.Glob(root, "[0-9a-f][0-9a-f]/*.plan")
	if err := errors.Join(err, errPlans); err != nil {
		return nil, fmt.Errorf("look through the cache: %w", err)
	}
	paths = append(paths, plans...)
	var list []kept
	for _, path := range paths {
		info, err := fs.Stat(root, path)
		if errors.Is(err, fs.ErrNotExist) {
			continue // pruned by another
		}
		if err != nil {
			return nil, fmt.Errorf("look through the cache: %w", err)
		}
		list = append(list, kept{filepath.Join(d.Root, filepath.FromSlash(path)), info})
	}
	slices.SortFunc(list, func(a, b kept) int {
		return cmp.Or(a.used().Compare(b.used()), cmp.Compare(a.path, b.path))
	})
	return list, nil
}

// used is when the segment was last used; the zero time where that is more than a day ahead,
// because a clock was wrong.
func (k kept) used() time.Time {
	if at := k.info.ModTime(); time.Until(at) < 24*time.Hour {
		return at
	}
	return time.Time{}
}
