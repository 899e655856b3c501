package render

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/content"
	"trenchcut/tags/files"
)

// manifestMark is in the names of manifests whose reel is being put in place.
const manifestMark = "manifest"

// deliver puts the finished reel at tmp and its manifest in place of out. It holds the folder
// meanwhile, so that of two runs to one place each leaves a reel and the manifest of that
// reel. The manifest lies beside its place before the reel is renamed: whoever comes after a
// crash between the two finds it there, by [settle].
func deliver(ctx context.Context, manifest []byte, tmp, out string) error {
	lock, err := content.WaitLock(ctx, filepath.Dir(out), true)
	switch {
	case err == nil:
		defer lock.Unlock()
	case ctx.Err() != nil:
		return err
	} // else the file system has no locks
	place := ManifestPath(out)
	waiting, err := files.Spare(place, manifestMark)
	if err != nil {
		return fmt.Errorf("write the manifest: %w", err)
	}
	if err := os.WriteFile(waiting, manifest, 0o666); err != nil {
		os.Remove(waiting)
		return fmt.Errorf("write the manifest: %w", err)
	}
	if err := files.Replace(tmp, out); err != nil {
		os.Remove(waiting)
		return fmt.Errorf("deliver the reel: %w", err)
	}
	if err := files.Replace(waiting, place); err != nil {
		return fmt.Errorf("deliver the manifest: %w", err) // it stays where settle looks
	}
	return nil
}

// ours is the manifest of the reel at out, the zero Manifest where nothing is there. It
// fails with a [files.ExistsError] where a file is there that no manifest describes as it is,
// or where what has a manifest's name is none.
func ours(out string) (Manifest, error) {
	place := ManifestPath(out)
	m, err := ReadManifest(place)
	if _, there := os.Lstat(out); errors.Is(there, fs.ErrNotExist) {
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return m, &files.ExistsError{Path: place, Foreign: true}
		}
		return Manifest{}, nil
	}
	if err == nil && m.intact(out) {
		return m, nil
	}
	if m, ok := settle(out); ok {
		return m, nil
	}
	return Manifest{}, &files.ExistsError{Path: out, Foreign: true}
}

// settle ends the delivery of a run that was killed amid it: it puts the manifest that
// describes the reel at out in its place, and removes those that describe what is not there
// any more.
func settle(out string) (found Manifest, ok bool) {
	folder, place := filepath.Dir(out), ManifestPath(out)
	lock, err := content.TryLock(folder, true)
	if err != nil {
		return found, false // another run delivers
	}
	defer lock.Unlock()
	left, _ := os.ReadDir(folder)
	for _, e := range left {
		path := filepath.Join(folder, e.Name())
		if !strings.HasPrefix(e.Name(), "."+manifestMark+"-") || !strings.HasSuffix(e.Name(), "-"+filepath.Base(place)) {
			continue
		}
		if m, err := ReadManifest(path); err == nil && m.intact(out) {
			if files.Replace(path, place) == nil {
				found, ok = m, true
			}
		} else {
			_ = os.Remove(path)
		}
	}
	return found, ok
}
