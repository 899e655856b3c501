package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// workshop is what commands that touch film work with.
type workshop struct {
	tool      ffmpeg.Tool
	toolchain string
	library   *film.Library
	store     render.Dir
}

// openWorkshop finds ffmpeg and the cache folder, for work on the film of a library.
func openWorkshop(ctx context.Context, library *film.Library) (*workshop, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return nil, err
	}
	toolchain, err := tool.Version(ctx)
	if err != nil {
		return nil, fmt.Errorf("ask ffmpeg its version: %w", err)
	}
	cache, err := cacheFolder()
	if err != nil {
		return nil, err
	}
	return &workshop{tool, toolchain, library, render.Dir{Root: filepath.Join(cache, "segments")}}, nil
}

// openLibrary finds ffmpeg and what is known of films already.
func openLibrary() (*film.Library, error) {
	tool, err := ffmpeg.Find()
	if err != nil {
		return nil, err
	}
	cache, err := cacheFolder()
	if err != nil {
		return nil, err
	}
	return film.NewLibrary(tool, filepath.Join(cache, "film")), nil
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

// films is every film of the season, by path.
func (w *workshop) films(ctx context.Context, season *tags.Season) (map[string]plan.Source, error) {
	films := map[string]plan.Source{}
	for _, g := range season.Games {
		for _, ref := range g.Files() {
			s, err := w.library.Source(ctx, ref.File)
			if err != nil {
				return nil, fmt.Errorf("film %s: %w", ref.File, err)
			}
			films[ref.File] = s
		}
	}
	return films, nil
}
