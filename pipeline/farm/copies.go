package farm

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"trenchcut/pipeline/content"
	"trenchcut/tags/files"
)

// Copies finds film in folders of this machine by fingerprint, whatever it is called there. It
// is safe for concurrent use.
type Copies struct {
	folders []string

	mu     sync.Mutex
	looked time.Time
	seen   map[string]seen   // by path
	paths  map[string]string // by fingerprint
}

// seen is a file whose fingerprint is known, for as long as it seems to be the same.
type seen struct {
	size        int64
	at          time.Time
	fingerprint string
}

// NewCopies finds film in the folders, and those below them.
func NewCopies(folders []string) *Copies {
	return &Copies{folders: folders, seen: map[string]seen{}, paths: map[string]string{}}
}

// lookAgain is how old the last look into the folders must be before a film that was not found is
// looked for again.
const lookAgain = time.Minute

// Path implements [render.Films].
func (c *Copies) Path(ctx context.Context, fingerprint string) (string, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if path, ok := c.paths[fingerprint]; ok {
		if print, err := content.Fingerprint(path); err == nil && print == fingerprint {
			return path, nil
		}
		delete(c.paths, fingerprint)
	}
	if time.Since(c.looked) > lookAgain {
		if err := c.look(ctx); err != nil {
			return "", err
		}
		if path, ok := c.paths[fingerprint]; ok {
			return path, nil
		}
	}
	return "", content.NotHere(fingerprint)
}

// Count looks into the folders and returns how many films are there.
func (c *Copies) Count(ctx context.Context) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	err := c.look(ctx)
	return len(c.paths), err
}

// look fingerprints what is new in the folders. What cannot be read is not there.
func (c *Copies) look(ctx context.Context) error {
	for _, folder := range c.folders {
		err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
			switch {
			case ctx.Err() != nil:
				return context.Cause(ctx)
			case err != nil:
				return nil
			case strings.HasPrefix(entry.Name(), ".") && path != folder && entry.IsDir():
				return filepath.SkipDir
			case !entry.Type().IsRegular() || !files.IsFilm(path):
				return nil
			}
			c.add(path)
			return nil
		})
		if err != nil {
			return err
		}
	}
	c.looked = time.Now()
	return nil
}

func (c *Copies) add(path string) {
	info, err := os.Stat(path)
	if err != nil {
		return
	}
	if s, ok := c.seen[path]; ok && s.size == info.Size() && s.at.Equal(info.ModTime()) {
		c.paths[s.fingerprint] = path
		return
	}
	if print, err := content.Fingerprint(path); err == nil {
		c.seen[path] = seen{info.Size(), info.ModTime(), print}
		c.paths[print] = path
	}
}
