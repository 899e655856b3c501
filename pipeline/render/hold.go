package render

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/plan"
	"trenchcut/tags/files"
)

// hold keeps the store from being pruned until it is let go.
func (d Dir) hold(ctx context.Context) (letGo func(), err error) {
	if err := os.MkdirAll(d.Root, 0o777); err != nil {
		return nil, fmt.Errorf("make the cache folder: %w", err)
	}
	l, err := d.clear()
	if errors.Is(err, content.ErrLocked) {
		l, err = content.WaitLock(ctx, d.lock(), false)
	}
	if err != nil {
		return nil, err
	}
	return func() {
		l.Unlock()
		if l, err := d.clear(); err == nil {
			l.Unlock()
		}
	}, nil
}

// clear removes all work in progress and holds the store with others. Where no other run
// has hold of it, what is there was left by runs that were killed; else it fails with
// [content.ErrLocked].
func (d Dir) clear() (*content.Lock, error) {
	l, err := content.TryLock(d.lock(), true)
	if err != nil {
		return nil, err
	}
	if content.Locks {
		_ = os.RemoveAll(d.work()) // what cannot be removed is in nobody's way
	} else {
		sweep(d.work(), "segment-")
	}
	if err := l.Share(); err != nil {
		l.Unlock()
		return nil, err
	}
	return l, nil
}

func (d Dir) lock() string { return filepath.Join(d.Root, "lock") }

// holdSegment keeps other runs from rendering a segment that this one is about to.
func (d Dir) holdSegment(ctx context.Context, key plan.Key) (*content.Lock, error) {
	folder := filepath.Join(d.work(), "locks")
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, fmt.Errorf("make a work folder: %w", err)
	}
	return content.WaitLock(ctx, filepath.Join(folder, string(key)), true)
}

// abandoned is the age at which work in progress was left by a program that was killed,
// where locks do not tell: a segment takes minutes, and a reel less than a day.
const abandoned = 24 * time.Hour

// sweep removes what was abandoned of what lies in folder under a name that starts with
// prefix. What it cannot remove is in nobody's way.
func sweep(folder, prefix string) {
	left, _ := os.ReadDir(folder)
	for _, e := range left {
		info, err := e.Info()
		if err == nil && strings.HasPrefix(e.Name(), prefix) && time.Since(info.ModTime()).Abs() > abandoned {
			_ = os.RemoveAll(filepath.Join(folder, e.Name()))
		}
	}
}

// spare creates an empty file in the folder of out, for the reel that will be put there, and
// removes what killed runs left of theirs. Until remove is called others know by a lock
// that somebody is at work on it.
func spare(out string) (tmp string, remove func(), err error) {
	sweepReels(filepath.Dir(out))
	if tmp, err = files.Spare(out, reelMark); err != nil {
		return "", nil, err
	}
	lock, err := content.TryLock(tmp, true)
	if err != nil {
		// On a file system without locks it is known by its age.
		return tmp, func() { os.Remove(tmp) }, nil
	}
	return tmp, func() { os.Remove(tmp); lock.Unlock() }, nil
}

// sweepReels removes unfinished reels that nobody is at work on. One that is empty may be
// so new that its lock is yet to come, so it is left for a minute.
func sweepReels(folder string) {
	if !content.Locks {
		sweep(folder, "."+reelMark+"-")
		return
	}
	left, _ := os.ReadDir(folder)
	for _, e := range left {
		path := filepath.Join(folder, e.Name())
		info, err := e.Info()
		if err != nil || !strings.HasPrefix(e.Name(), "."+reelMark+"-") || !info.Mode().IsRegular() || info.Size() == 0 && time.Since(info.ModTime()).Abs() <= time.Minute {
			continue
		}
		if lock, err := content.TryLock(path, true); err == nil {
			os.Remove(path)
			lock.Unlock()
		}
	}
}
