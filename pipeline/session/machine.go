package session

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// Machine is what this computer probes and cuts film with.
type Machine struct {
	Tool    ffmpeg.Tool
	Library *film.Library
	Store   render.Dir // of rendered segments
	Cache   string     // the folder that holds the store and all else that is kept
	NoCache error      // why there is no such folder; film can be probed all the same

	toolchain func(context.Context) (string, error)
}

// OpenMachine finds ffmpeg and the cache folder. Without a cache folder it opens a machine that
// makes no reels.
func OpenMachine() (*Machine, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return nil, err
	}
	m := &Machine{Tool: tool}
	if m.Cache, m.NoCache = cacheFolder(); m.NoCache == nil {
		m.Library, m.Store = film.NewLibrary(tool, filepath.Join(m.Cache, "film")), segments(m.Cache)
	} else {
		m.Library = film.NewLibrary(tool, "")
	}
	var mu sync.Mutex
	known := ""
	m.toolchain = func(ctx context.Context) (string, error) {
		mu.Lock()
		defer mu.Unlock()
		if known != "" {
			return known, nil
		}
		var err error
		if known, err = tool.Version(ctx); err != nil {
			return "", err
		}
		return known, nil
	}
	return m, nil
}

// Toolchain is what ffmpeg says of itself. It is asked once.
func (m *Machine) Toolchain(ctx context.Context) (string, error) { return m.toolchain(ctx) }

// Ready fails where there is an ffmpeg that is too old to serve, so that this is said before
// long work begins.
func (m *Machine) Ready(ctx context.Context) error {
	_, err := m.toolchain(ctx)
	return err
}

// Maker returns a maker of reels that cuts as many segments at once as there are workers.
// Pictures holds where the staff's own pictures lie, by content.
func (m *Machine) Maker(ctx context.Context, workers int, pictures map[string]string) (*render.Maker, error) {
	if m.NoCache != nil {
		return nil, m.NoCache
	}
	toolchain, err := m.Toolchain(ctx)
	if err != nil {
		return nil, err
	}
	return &render.Maker{
		Tool: m.Tool, Toolchain: toolchain, Films: sources{m.Library, pictures}, Store: m.Store,
		Workers: workers, Version: Version(),
	}, nil
}

// sources finds film and the staff's own pictures by what is in them.
type sources struct {
	films    render.Films
	pictures map[string]string // paths by content
}

// Path implements [render.Films].
func (s sources) Path(ctx context.Context, fingerprint string) (string, error) {
	if path, ok := s.pictures[fingerprint]; ok {
		return path, nil
	}
	return s.films.Path(ctx, fingerprint)
}

// CacheVariable names the environment variable that moves the cache.
const CacheVariable = "TRENCHCUT_CACHE"

// cacheFolder is where rendered segments, and what is known of films and tag files, are
// kept. All of it can be made again.
func cacheFolder() (string, error) {
	if dir := os.Getenv(CacheVariable); dir != "" {
		return filepath.Abs(dir)
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", fmt.Errorf("there is no place for the cache: %w; set %s to a folder", err, CacheVariable)
	}
	return filepath.Join(dir, "trenchcut"), nil
}

// Segments is the store of rendered segments, which needs no ffmpeg.
func Segments() (render.Dir, error) {
	cache, err := cacheFolder()
	return segments(cache), err
}

// StandIns is the folder in a cache that keeps the movies which stand in for film in a browser.
func StandIns(cache string) string { return filepath.Join(cache, "standins") }

func segments(cache string) render.Dir { return render.Dir{Root: filepath.Join(cache, "segments")} }

// tagCache keeps what tag files said, where there is a cache folder.
func tagCache() tags.Cache {
	dir, err := cacheFolder()
	if err != nil {
		return tags.Cache{}
	}
	return tags.Cache{Folder: filepath.Join(dir, "tags")}
}
