package session

import (
	"path/filepath"

	"trenchcut/pipeline/render"
	"trenchcut/pipeline/viewer"
)

// Kept is what the cache holds of film that was cut. All of it can be made again.
type Kept struct {
	Folder     string // of the segments
	Segments   render.Usage
	Movies     int // that stand in for film on the marking page
	MovieBytes int64
}

// KeptHere is what the cache of this user holds.
func KeptHere() (Kept, error) {
	store, err := Segments()
	if err != nil {
		return Kept{}, err
	}
	k := Kept{Folder: store.Root}
	if k.Segments, err = store.Usage(); err != nil {
		return k, err
	}
	k.Movies, k.MovieBytes, err = viewer.StandIns(StandIns(filepath.Dir(store.Root)))
	return k, err
}

// PruneKept removes the segments that were not used for longest until they are no more than most
// bytes; movies get the room that segments leave. It fails with [render.ErrBusy] while a reel is
// being made.
func PruneKept(most int64) (removed, left Kept, err error) {
	before, err := KeptHere()
	if err != nil {
		return removed, left, err
	}
	store := render.Dir{Root: before.Folder}
	if removed.Segments, err = store.Prune(most); err != nil {
		return removed, left, err
	}
	usage, err := store.Usage()
	if err != nil {
		return removed, left, err
	}
	if err := viewer.PruneStandIns(StandIns(filepath.Dir(store.Root)), max(most-usage.Bytes, 0)); err != nil {
		return removed, left, err
	}
	if left, err = KeptHere(); err != nil {
		return removed, left, err
	}
	removed.Movies, removed.MovieBytes = before.Movies-left.Movies, before.MovieBytes-left.MovieBytes
	return removed, left, nil
}
