// Package film finds out what a film file is and how it keeps time.
package film

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Library knows film files: what each is, and where the film of a fingerprint lies. It
// is safe for concurrent use.
type Library struct {
	tool  ffmpeg.Tool
	cache string // folder of reports, one a fingerprint

	mu      sync.Mutex
	sources map[string]plan.Source // by path
	paths   map[string]string      // by fingerprint
}

// NewLibrary makes a library that keeps what it learns in the folder cache.
func NewLibrary(tool ffmpeg.Tool, cache string) *Library {
	return &Library{tool: tool, cache: cache, sources: map[string]plan.Source{}, paths: map[string]string{}}
}

// Source is what the film file at path is.
func (l *Library) Source(ctx context.Context, path string) (plan.Source, error) {
	l.mu.Lock()
	s, ok := l.sources[path]
	l.mu.Unlock()
	if ok {
		return s, nil
	}
	print, err := content.Fingerprint(path)
	if err != nil {
		return s, err
	}
	s, err = l.source(ctx, path, print)
	if err != nil {
		return s, err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.sources[path] = s
	l.paths[print] = path
	return s, nil
}

// reportVersion counts up when source reads a report differently.
const reportVersion = 2

// source is the probe of a fingerprint, from the cache or made and kept there.
func (l *Library) source(ctx context.Context, path, print string) (plan.Source, error) {
	file := filepath.Join(l.cache, fmt.Sprintf("%s.%d.json", print, reportVersion))
	var s plan.Source
	if data, err := os.ReadFile(file); err == nil && json.Unmarshal(data, &s) == nil && s.Fingerprint == print {
		return s, nil
	}
	report, err := l.tool.Probe(ctx, path)
	if err != nil {
		return s, err
	}
	if s, err = source(report); err != nil {
		return s, err
	}
	s.Fingerprint = print
	data, err := json.Marshal(s)
	if err == nil {
		err = os.MkdirAll(l.cache, 0o777)
	}
	if err == nil {
		err = content.WriteWhole(file, data, 0o600)
	}
	if err != nil {
		return s, fmt.Errorf("keep what film %s is: %w", path, err)
	}
	return s, nil
}

// Path is where the film of a fingerprint lies.
func (l *Library) Path(_ context.Context, fingerprint string) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if path, ok := l.paths[fingerprint]; ok {
		return path, nil
	}
	return "", fmt.Errorf("no film here has the fingerprint %.12s…", fingerprint)
}

// Survey probes every film of the games and finds the extent of each, by file. A film
// that is missing or is none is a fault where the tags name it.
func (l *Library) Survey(ctx context.Context, games []*tags.Game) (map[string]tags.Extent, tags.Faults, error) {
	var mu sync.Mutex
	extents := map[string]tags.Extent{}
	var faults tags.Faults
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(8)
	for _, g := range games {
		for _, ref := range g.Files() {
			group.Go(func() error {
				s, err := l.Source(ctx, ref.File)
				mu.Lock()
				defer mu.Unlock()
				switch {
				case ctx.Err() != nil:
					return context.Cause(ctx)
				case errors.Is(err, fs.ErrNotExist):
					faults.Add(ref.Pos, "no film at %s", ref.File)
				case err != nil:
					faults.Add(ref.Pos, "film %s cannot be read: %v", ref.File, err)
				default:
					extents[ref.File] = tags.Extent{Clock: s.Clock(), Frames: s.Frames}
				}
				return nil
			})
		}
	}
	if err := group.Wait(); err != nil {
		return nil, nil, err
	}
	return extents, faults, nil
}
