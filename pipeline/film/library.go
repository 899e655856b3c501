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
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Library knows film files: what each is, and where the film of a fingerprint lies. It
// is safe for concurrent use.
type Library struct {
	tool  ffmpeg.Tool
	cache string // folder of reports and glances, each by fingerprint; empty keeps none

	mu    sync.Mutex
	known map[string]record // by path
	paths map[string]string // by fingerprint
}

// record is what is known of a film file.
type record struct {
	Source plan.Source
	Notes  []string
	Plain  bool
}

// NewLibrary makes a library that keeps what it learns in the folder cache, where it can.
func NewLibrary(tool ffmpeg.Tool, cache string) *Library {
	return &Library{tool: tool, cache: cache, known: map[string]record{}, paths: map[string]string{}}
}

// Source is what the film file at path is.
func (l *Library) Source(ctx context.Context, path string) (plan.Source, error) {
	k, err := l.look(ctx, path)
	return k.Source, err
}

// Notes is what is odd about the film file at path and what is done about it.
func (l *Library) Notes(ctx context.Context, path string) ([]string, error) {
	k, err := l.look(ctx, path)
	return k.Notes, err
}

// Plain reports whether every browser plays the film file at path by itself and shows frame n
// at n/rate of the file's own time.
func (l *Library) Plain(ctx context.Context, path string) (bool, error) {
	k, err := l.look(ctx, path)
	return k.Plain && len(files.Parts(path)) == 1, err
}

func (l *Library) look(ctx context.Context, path string) (record, error) {
	l.mu.Lock()
	k, ok := l.known[path]
	l.mu.Unlock()
	if ok {
		return k, nil
	}
	print, err := content.Fingerprint(path)
	if err != nil {
		return k, err
	}
	k, err = l.probe(ctx, path, print)
	if err != nil {
		return k, err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.known[path] = k
	l.paths[print] = path
	return k, nil
}

// reportVersion counts up when source, notes or plain reads a report differently.
const reportVersion = 12

// probe is what is known of a fingerprint, from the cache or found out and kept there.
func (l *Library) probe(ctx context.Context, path, print string) (record, error) {
	parts, mark := files.Parts(path), ""
	if len(parts) > 1 {
		mark = ".parts" // what is known of the same film as one file does not say that it can be parted
	}
	file := filepath.Join(l.cache, fmt.Sprintf("%s.%d%s.json", print, reportVersion, mark))
	var k record
	if data, ok := l.kept(file); ok && json.Unmarshal(data, &k) == nil && k.Source.Fingerprint == print {
		return k, nil
	}
	k = record{}
	if err := l.runsOn(ctx, parts); err != nil {
		return k, err
	}
	report, err := l.tool.Probe(ctx, path)
	if err != nil {
		return k, err
	}
	if err := l.fields(ctx, path, &report); err != nil {
		return k, err
	}
	s, err := source(report, func(stream, packets int, key bool) (int64, bool, error) {
		return l.tool.First(ctx, path, stream, packets, key)
	}, func(stream int, from tags.Time) (ffmpeg.Ending, error) {
		return l.tool.Ending(ctx, path, stream, from)
	})
	// A film that is still being copied would be kept as what it never was.
	if now, err := content.Fingerprint(path); err != nil || now != print {
		return k, errors.Join(errors.New("the file was changed while it was looked at: try again once it is whole"), err)
	}
	if err != nil {
		return k, err
	}
	k.Source = s
	k.Source.Fingerprint = print
	k.Notes, k.Plain = notes(report, k.Source), plain(report, k.Source)
	if data, err := json.Marshal(k); err == nil {
		l.keep(file, data)
	}
	return k, nil
}

// fields asks the first picture of a film for its fields where r does not say: ffprobe 4.4 does
// not of H.264 in MP4, and none does of MPEG-4.
func (l *Library) fields(ctx context.Context, path string, r *ffmpeg.Report) error {
	video, _ := pick(*r)
	if video == nil || known(video.FieldOrder) != "" || !slices.Contains([]string{"h264", "mpeg4"}, video.Codec) {
		return nil
	}
	interlaced, err := l.tool.Interlaced(ctx, path, video.Index)
	if interlaced {
		video.FieldOrder = "tt" // or bb: bwdif asks each picture
	}
	return err
}

// keep writes what is known to a file of the cache; where it cannot, it is found out again.
func (l *Library) keep(file string, data []byte) {
	if l.cache != "" && os.MkdirAll(l.cache, 0o777) == nil {
		_ = files.WriteSealed(file, data)
	}
}

// mostKept bounds a file of the cache: what is seen of ten hours of film takes some 20 MB.
const mostKept = 256 << 20

// kept is what keep wrote to a file of the cache; false where there is none, or it is damaged.
func (l *Library) kept(file string) ([]byte, bool) {
	if l.cache == "" {
		return nil, false
	}
	data, err := files.ReadSealed(file, mostKept)
	return data, err == nil
}

// ErrOther says that a film is not the one that was first hashed under its fingerprint.
var ErrOther = errors.New("it is not the film that was hashed before, though every sample of it is the same")

// Rehash hashes the whole of the film file at path. The first time that is kept; later it
// fails with [ErrOther] where the film differs, and what was kept of it counts no more.
func (l *Library) Rehash(ctx context.Context, path string) error {
	k, err := l.look(ctx, path)
	if err != nil {
		return err
	}
	hash, err := content.Hash(ctx, path)
	if err != nil {
		return err
	}
	if l.cache == "" {
		return nil
	}
	file := filepath.Join(l.cache, k.Source.Fingerprint+".sha256")
	before, known := l.kept(file)
	if known && string(before) == hash {
		return nil
	}
	if err := files.WriteSealed(file, []byte(hash)); err != nil {
		return fmt.Errorf("keep the hash of %s: %w", files.Named(path), err)
	}
	if known {
		return ErrOther
	}
	return nil
}

// Path is where the film of a fingerprint lies.
func (l *Library) Path(_ context.Context, fingerprint string) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if path, ok := l.paths[fingerprint]; ok {
		return path, nil
	}
	return "", content.NotHere(fingerprint)
}

// Survey probes every film of the games and says what each is, by file. A film that is
// missing or is none is a fault where the tags name it.
func (l *Library) Survey(ctx context.Context, games []*tags.Game) (map[string]plan.Source, tags.Faults, error) {
	var mu sync.Mutex
	films := map[string]plan.Source{}
	var faults tags.Faults
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(8)
	for _, g := range games {
		for _, ref := range g.Files() {
			group.Go(func() error {
				s, err := l.Source(ctx, ref.File)
				var missing *fs.PathError
				mu.Lock()
				defer mu.Unlock()
				switch {
				case ctx.Err() != nil:
					return context.Cause(ctx)
				case errors.Is(err, fs.ErrNotExist) && tags.OnOtherDrive(ref.File):
					faults.Add(ref.Pos, "film %s is on a drive of another computer: name it as it is called here, best from the tag file's folder", files.Named(ref.File))
				case errors.Is(err, fs.ErrNotExist) && errors.As(err, &missing):
					faults.Add(ref.Pos, "no film at %s", missing.Path)
				case err != nil:
					faults.Add(ref.Pos, "film %s cannot be read: %v", files.Named(ref.File), err)
				default:
					films[ref.File] = s
				}
				return nil
			})
		}
	}
	if err := group.Wait(); err != nil {
		return nil, nil, err
	}
	return films, faults, nil
}
