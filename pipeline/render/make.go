package render

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Maker makes reels on this machine.
type Maker struct {
	Tool      ffmpeg.Tool
	Toolchain string
	Films     Films
	Store     Dir
	Workers   int
	Version   string // of this program, for the manifest
}

// Report is what making a reel came to.
type Report struct {
	Out       string
	Frames    tags.Frame
	Segments  int  // in the reel
	Rendered  int  // of them, how many were made now
	Unchanged bool // the reel was there already, made from the same plan
}

// ErrNotOurs says that the output would replace a file that is no reel of ours.
var ErrNotOurs = errors.New("the file is there already and is no reel with a manifest beside it")

// Make renders and joins the reel of p to the file out, with its manifest beside it.
// Out appears whole or not at all; until then an older reel there stays as it is. A file
// there that is no reel is replaced only when force says so.
func (m *Maker) Make(ctx context.Context, p *plan.Plan, out string, force bool, events Events) (Report, error) {
	report := Report{Out: out, Frames: p.Frames(), Segments: len(p.Entries)}
	digest, err := p.Digest(m.Toolchain)
	if err != nil {
		return report, err
	}
	old, err := readManifest(ManifestPath(out))
	if err != nil && !force {
		if _, errStat := os.Lstat(out); errStat == nil {
			return report, fmt.Errorf("%s: %w", out, ErrNotOurs)
		}
	}
	if err == nil && old.Plan == digest && old.intact(out) {
		report.Unchanged = true
		return report, nil
	}

	jobs := make([]Job, len(p.Entries))
	for i, e := range p.Entries {
		key, err := e.Segment.Key(m.Toolchain)
		if err != nil {
			return report, err
		}
		jobs[i] = Job{key, e.Segment}
	}
	renderer := &Local{Tool: m.Tool, Toolchain: m.Toolchain, Films: m.Films, Store: m.Store}
	schedule := &Schedule{Store: m.Store, Renderer: renderer, Workers: m.Workers}
	if report.Rendered, err = schedule.Run(ctx, jobs, events); err != nil {
		return report, ofChapter(p, jobs, err)
	}
	parts, err := m.parts(ctx, jobs)
	if err != nil {
		return report, err
	}

	tmp, err := besideTemp(out, ".mp4")
	if err != nil {
		return report, err
	}
	defer os.Remove(tmp)
	if err := m.join(ctx, p, parts, tmp, events); err != nil {
		return report, err
	}
	joined, err := readMovie(tmp)
	if err != nil {
		return report, fmt.Errorf("join: %w", err)
	}
	if joined.frames != int64(report.Frames) {
		return report, fmt.Errorf("join: the reel has %d frames, want %d", joined.frames, report.Frames)
	}
	manifest, err := m.manifest(ctx, p, jobs, digest, tmp, out)
	if err != nil {
		return report, err
	}
	return report, deliver(manifest, tmp, out)
}

// parts opens the segments of a reel in the store.
func (m *Maker) parts(ctx context.Context, jobs []Job) ([]part, error) {
	parts := make([]part, len(jobs))
	for i, job := range jobs {
		path, err := m.Store.Open(ctx, job.Key)
		if err != nil {
			return nil, err
		}
		movie, err := verify(path, job.Segment)
		if err != nil {
			return nil, fmt.Errorf("open a segment: %w", err)
		}
		parts[i] = part{path, movie, job.Segment.Frames()}
	}
	return parts, nil
}

// ofChapter says which chapter a failed job is of.
func ofChapter(p *plan.Plan, jobs []Job, err error) error {
	var failed *Error
	if !errors.As(err, &failed) {
		return err
	}
	for i, job := range jobs {
		if job.Key == failed.Key {
			return fmt.Errorf("%s: %w", p.Entries[i].Chapter, failed.Err)
		}
	}
	return err
}

// deliver puts a finished reel and its manifest in place. The reel goes first: a
// manifest that does not fit the file beside it is found out, and the reel made again.
func deliver(manifest []byte, tmp, out string) error {
	tmpManifest, err := besideTemp(ManifestPath(out), ".json")
	if err != nil {
		return err
	}
	defer os.Remove(tmpManifest)
	if err := os.WriteFile(tmpManifest, manifest, 0o666); err != nil {
		return fmt.Errorf("write the manifest: %w", err)
	}
	if err := errors.Join(os.Chmod(tmp, 0o644), os.Chmod(tmpManifest, 0o644)); err != nil {
		return fmt.Errorf("deliver the reel: %w", err)
	}
	if err := os.Rename(tmp, out); err != nil {
		return fmt.Errorf("deliver the reel: %w", err)
	}
	if err := os.Rename(tmpManifest, ManifestPath(out)); err != nil {
		return fmt.Errorf("deliver the manifest: %w", err)
	}
	return nil
}

// besideTemp makes an empty file in the folder of out, from where it can be renamed.
func besideTemp(out, ext string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(out), ".trenchcut-*"+ext)
	if err != nil {
		return "", fmt.Errorf("write beside %s: %w", out, err)
	}
	return f.Name(), f.Close()
}
