package render

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/plan"
	"trenchcut/tags/files"
)

// Hold keeps the store from being pruned until it is let go. A store that cannot be written
// to and has no lock is held by nobody: no run could prune it.
func (d Dir) Hold(ctx context.Context) (letGo func(), err error) {
	if err := os.MkdirAll(d.Root, 0o777); err != nil {
		return nil, fmt.Errorf("make the cache folder: %w", err)
	}
	l, err := d.clear()
	readOnly := content.ReadOnly(err)
	if errors.Is(err, content.ErrLocked) || readOnly {
		l, err = content.WaitLock(ctx, d.lock(), false)
	}
	switch {
	case readOnly && (errors.Is(err, fs.ErrNotExist) || content.ReadOnly(err)):
		return func() {}, nil
	case err != nil:
		return nil, err
	}
	return func() {
		l.Unlock()
		if l, err := d.clear(); err == nil {
			l.Unlock()
		}
	}, nil
}

// clear removes all work in progress, which runs that were killed left behind, and holds the
// store together with others. It fails with [content.ErrLocked] while another run holds the
// store.
func (d Dir) clear() (*content.Lock, error) {
	l, err := content.TryLock(d.lock(), true)
	if err != nil {
		return nil, err
	}
	_ = os.RemoveAll(d.work()) // what cannot be removed is in nobody's way
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
		return nil, fmt.Errorf("make a work folder in the cache: %w", err)
	}
	return content.WaitLock(ctx, filepath.Join(folder, string(key)), true)
}

// abandoned is the age from which work in progress counts as left behind by a run that was
// killed, where locks do not tell: a segment takes minutes, and a reel less than a day.
const abandoned = 24 * time.Hour

// sweep removes what is older than abandoned in folder and has a name that starts with prefix.
// What it cannot remove stays.
func sweep(folder, prefix string) {
	left, _ := os.ReadDir(folder)
	for _, e := range left {
		info, err := e.Info()
		if err == nil && strings.HasPrefix(e.Name(), prefix) && time.Since(info.ModTime()).Abs() > abandoned {
			_ = os.RemoveAll(filepath.Join(folder, e.Name()))
		}
	}
}

// spare creates an empty file in the folder of out, for the reel that will be put there. The
// file is locked until remove is called, so that no other run takes it for one that a killed
// run left behind.
func spare(out string) (tmp string, remove func(), err error) {
	for {
		if tmp, err = files.Spare(out, reelMark); err != nil {
			return "", nil, err
		}
		lock, err := content.TryLock(tmp, true)
		switch {
		case errors.Is(err, content.ErrLocked):
			continue // a run that sweeps was quicker than the lock, and removes the file
		case err != nil: // a file system without locks
			return tmp, func() { os.Remove(tmp) }, nil
		case !lock.Holds(tmp):
			lock.Unlock() // the file was swept before it was locked
			continue
		}
		return tmp, func() { os.Remove(tmp); lock.Unlock() }, nil
	}
}

// sweepReels removes the unfinished reels in folder that no run is at work on. Where locks do
// not tell, their age does.
func sweepReels(folder string) {
	left, _ := os.ReadDir(folder)
	for _, e := range left {
		if !strings.HasPrefix(e.Name(), "."+reelMark+"-") || !e.Type().IsRegular() {
			continue
		}
		path := filepath.Join(folder, e.Name())
		lock, err := content.TryLock(path, true)
		if err == nil {
			os.Remove(path)
			lock.Unlock()
		} else if !errors.Is(err, content.ErrLocked) {
			sweep(folder, e.Name())
		}
	}
}
