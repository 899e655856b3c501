package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// workshop is what commands that touch film work with.
type workshop struct {
	tool    ffmpeg.Tool
	library *film.Library
	store   render.Dir
	known   string // the ffmpeg's version, once it was asked
	// pictures is where the staff's own pictures lie, by content.
	pictures map[string]string
}

// openWorkshop finds ffmpeg and the cache folder.
func openWorkshop() (*workshop, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return nil, err
	}
	cache, err := cacheFolder()
	if err != nil {
		return nil, err
	}
	return &workshop{
		tool:    tool,
		library: film.NewLibrary(tool, filepath.Join(cache, "film")),
		store:   segmentStore(cache),
	}, nil
}

func segmentStore(cache string) render.Dir { return render.Dir{Root: filepath.Join(cache, "segments")} }

// maker makes reels of the workshop's film, cutting as many segments at once as there are
// workers.
func (w *workshop) maker(ctx context.Context, workers int) (*render.Maker, error) {
	toolchain, err := w.version(ctx)
	if err != nil {
		return nil, err
	}
	return &render.Maker{
		Tool: w.tool, Toolchain: toolchain, Films: stock{w.library, w.pictures}, Store: w.store,
		Workers: workers, Version: version(),
	}, nil
}

// version is what the workshop's ffmpeg says of itself, which takes it a while.
func (w *workshop) version(ctx context.Context) (string, error) {
	if w.known == "" {
		var err error
		if w.known, err = w.tool.Version(ctx); err != nil {
			return "", fmt.Errorf("ask ffmpeg its version: %w", err)
		}
	}
	return w.known, nil
}

// cacheVariable names the environment variable that moves the cache.
const cacheVariable = "TRENCHCUT_CACHE"

// cacheFolder is where rendered segments and what is known of films are kept. All of
// it can be made again.
func cacheFolder() (string, error) {
	if dir := os.Getenv(cacheVariable); dir != "" {
		return filepath.Abs(dir)
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", fmt.Errorf("find the cache folder: %w; set %s to one", err, cacheVariable)
	}
	return filepath.Join(dir, "trenchcut"), nil
}

// tagCache keeps what tag files said, where there is a place for it.
func tagCache() tags.Cache {
	dir, err := cacheFolder()
	if err != nil {
		return tags.Cache{}
	}
	return tags.Cache{Folder: filepath.Join(dir, "tags")}
}
