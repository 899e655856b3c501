package viewer

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/film"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// standInVersion counts up when stand-ins are made another way.
const standInVersion = 1

// standInWidth is how wide a stand-in is at most: what the larger of two films takes of a
// laptop's screen.
const standInWidth = 960

// standIn is a movie in the folder that is held while it is shown, so that nobody removes it.
type standIn struct {
	path string
	hold *content.Lock
}

func (s *standIn) letGo() { s.hold.Unlock() }

// playing is how far the film is from being played.
func (v *Viewer) playing(f *Film) Progress {
	if f.Plain {
		return Progress{State: Ready, Done: f.Source.Frames, Of: f.Source.Frames}
	}
	return v.standingIn(f)
}

// standingIn is how far the film's stand-in is.
func (v *Viewer) standingIn(f *Film) Progress {
	if v.options.Folder == "" {
		return Progress{State: None, Said: "there is no folder for the movie that a browser could play: the film is shown by stills"}
	}
	return v.jobs.ask("stand-in "+f.ID, 1, f.Source.Frames, func(ctx context.Context, progress func(tags.Frame)) error {
		return v.standIn(ctx, f, progress)
	})
}

// standIn finds the stand-in of f, or makes it, and holds it.
func (v *Viewer) standIn(ctx context.Context, f *Film, progress func(tags.Frame)) error {
	path := filepath.Join(v.options.Folder, fmt.Sprintf("%s.%d.mp4", f.ID, standInVersion))
	if v.holdStandIn(f, path) == nil {
		return nil
	}
	if err := os.MkdirAll(v.options.Folder, 0o777); err != nil {
		return fmt.Errorf("make a place for stand-ins: %w", err)
	}
	making, err := content.WaitLock(ctx, path+".lock", true)
	if err != nil {
		return err
	}
	defer making.Unlock()
	// Another process may have made it meanwhile, or have been ended amid it.
	if v.holdStandIn(f, path) == nil {
		return nil
	}
	if err := sweep(path); err != nil {
		return err
	}
	if err := PruneStandIns(v.options.Folder, v.options.MostKept); err != nil {
		return err
	}
	tmp, err := files.Spare(path, workMark)
	if err != nil {
		return err
	}
	defer os.Remove(tmp)
	width, height := f.size(standInWidth)
	work := path + partsMark // stays where this is ended, so that it goes on there another time
	if err := v.library.StandIn(ctx, f.path, film.StandIn{Out: tmp, Width: width, Height: height, Work: work, Part: v.options.part}, progress); err != nil {
		return err
	}
	if err := errors.Join(f.unchanged(), os.RemoveAll(work)); err != nil {
		return err
	}
	if err := files.SealFile(tmp); err != nil {
		return err
	}
	if err := files.Replace(tmp, path); err != nil {
		return err
	}
	return v.holdStandIn(f, path)
}

// holdStandIn holds the movie at path as the stand-in of f; it fails where there is none that
// is whole.
func (v *Viewer) holdStandIn(f *Film, path string) error {
	if _, err := os.Stat(path); err != nil {
		return err // or the lock would create it
	}
	hold, err := content.TryLock(path, false)
	if err != nil {
		return err
	}
	if err = files.CheckSeal(path); err == nil && !hold.Holds(path) {
		err = fs.ErrNotExist
	}
	if err != nil {
		hold.Unlock()
		return err
	}
	now := time.Now()
	_ = os.Chtimes(path, now, now) // used: kept from being removed
	v.mu.Lock()
	defer v.mu.Unlock()
	v.standIns[f.ID] = &standIn{path, hold}
	return nil
}

// workMark is in the names of stand-ins that are being made, and partsMark ends the names of
// the folders of their parts.
const (
	workMark  = "standin"
	partsMark = ".parts"
)

// standInPart is how much film one part of a stand-in is of.
const standInPart = 2 * 60 * tags.Second

// mostLeft is for how long the parts of a stand-in are kept that nobody goes on with.
const mostLeft = 14 * 24 * time.Hour

// sweep removes what is left of the making of the stand-in at path, which the caller alone
// may make now.
func sweep(path string) error {
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), "."+workMark+"-*-"+filepath.Base(path)))
	for _, file := range left {
		err = errors.Join(err, os.Remove(file))
	}
	return err
}

// kept is a stand-in in a folder.
type kept struct {
	path string
	info fs.FileInfo
}

// standInsIn is the stand-ins in folder, those that were not used for longest first, and the
// bytes of all.
func standInsIn(folder string) (list []kept, bytes int64, err error) {
	paths, err := filepath.Glob(filepath.Join(folder, "*.mp4"))
	if err != nil {
		return nil, 0, fmt.Errorf("look through the stand-ins: %w", err)
	}
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil {
			list = append(list, kept{path, info})
			bytes += info.Size()
		}
	}
	slices.SortFunc(list, func(a, b kept) int {
		return cmp.Or(a.info.ModTime().Compare(b.info.ModTime()), cmp.Compare(a.path, b.path))
	})
	return list, bytes, nil
}

// StandIns is how many stand-ins are kept in folder, and their bytes.
func StandIns(folder string) (count int, bytes int64, err error) {
	list, bytes, err := standInsIn(folder)
	return len(list), bytes, err
}

// PruneStandIns removes the stand-ins in folder that were not used for longest, until there
// are at most so many bytes of them, but none that is shown. The parts of stand-ins that nobody
// goes on with go too.
func PruneStandIns(folder string, most int64) error {
	if err := leave(folder); err != nil {
		return err
	}
	list, bytes, err := standInsIn(folder)
	if err != nil {
		return err
	}
	for _, k := range list {
		if bytes <= most {
			break
		}
		alone, err := content.TryLock(k.path, true)
		if errors.Is(err, content.ErrLocked) {
			continue
		}
		if err != nil {
			return err
		}
		err = os.Remove(k.path)
		alone.Unlock()
		if err != nil {
			return fmt.Errorf("remove an old stand-in: %w", err)
		}
		_ = os.Remove(k.path + ".lock")
		bytes -= k.info.Size()
	}
	return nil
}

// leave removes the parts in folder that nobody goes on with.
func leave(folder string) error {
	left, err := filepath.Glob(filepath.Join(folder, "*"+partsMark))
	if err != nil {
		return fmt.Errorf("look through the stand-ins: %w", err)
	}
	for _, parts := range left {
		info, err := os.Stat(parts)
		if err != nil || time.Since(info.ModTime()) < mostLeft {
			continue
		}
		alone, err := content.TryLock(strings.TrimSuffix(parts, partsMark)+".lock", true)
		if err != nil {
			continue // it is being made after all
		}
		err = os.RemoveAll(parts)
		alone.Unlock()
		if err != nil {
			return fmt.Errorf("remove parts of a stand-in: %w", err)
		}
	}
	return nil
}
