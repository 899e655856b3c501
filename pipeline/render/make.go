package render

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"math"
	"os"
	"path/filepath"
	"time"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Maker makes reels on this machine.
type Maker struct {
	Tool      ffmpeg.Tool
	Toolchain string
	Films     Films
	Store     Dir
	Workers   int
	KeepGoing bool         // after a segment failed, render the others all the same
	MaxBytes  int64        // the most a reel may take; 0 is any
	Version   string       // of this program, for the manifest
	Log       *slog.Logger // is told what is decided on the way; nil is nobody
	// Elsewhere, where it is not nil, makes the renderer that is given all jobs at once, and
	// has what this machine renders itself rendered by home.
	Elsewhere func(home *Local) Renderer
}

func (m *Maker) log() *slog.Logger { return cmp.Or(m.Log, quiet) }

// Report is what making a reel came to.
type Report struct {
	Out       string
	Frames    tags.Frame
	Segments  int  // in the reel
	Rendered  int  // of them, how many were made now
	Unchanged bool // the reel was there already, made from the same plan
	// Replaced is the title of the reel that was there, where it is another.
	Replaced string
}

// Make renders and joins the reel of p to the file out, with its manifest beside it.
// Out appears whole or not at all; until then an older reel there stays as it is. A file
// there that is no reel as this program made it is replaced only by force; without it Make
// fails with a [files.ExistsError].
func (m *Maker) Make(ctx context.Context, p *plan.Plan, out string, force bool, events Events) (Report, error) {
	report := Report{Out: out, Frames: p.Frames(), Segments: len(p.Entries)}
	digest, err := p.Digest(m.Toolchain)
	if err != nil {
		return report, err
	}
	sweepReels(filepath.Dir(out))
	old, err := ours(out)
	if err != nil && !force {
		return report, err
	}
	if err == nil && old.Plan == digest {
		err := checkJoined(out, p)
		if err == nil {
			report.Unchanged = true
			m.Store.keepPlan(digest, p)
			m.log().Info("unchanged", "reel", out)
			m.tellLacks(ctx, p)
			return report, m.fits(out)
		}
		m.log().Info("again", "reel", out, "because", err.Error())
	}
	tmp, end, err := m.begin(ctx, out)
	if err != nil {
		return report, err
	}
	defer end()
	jobs, err := m.jobs(p.Entries)
	if err != nil {
		return report, err
	}
	if report.Rendered, err = m.schedule().Run(ctx, jobs, events); err != nil {
		return report, ofClips(jobs, err)
	}
	parts, err := m.parts(ctx, jobs)
	if err != nil {
		return report, err
	}

	start := time.Now()
	if err := m.join(ctx, p, parts, tmp, events); err != nil {
		return report, err
	}
	if err := checkJoined(tmp, p); err != nil {
		return report, fmt.Errorf("join: %w", err)
	}
	if err := m.fits(tmp); err != nil {
		return report, err
	}
	manifest, err := m.manifest(ctx, p, jobs, digest, tmp, out)
	if err != nil {
		return report, err
	}
	if err := deliver(ctx, manifest, tmp, out); err != nil {
		return report, FullIn(filepath.Dir(out), err)
	}
	if old.Title != p.Title {
		report.Replaced = old.Title
	}
	m.Store.keepPlan(digest, p)
	m.log().Info("join", "reel", out, "segments", len(parts), "frames", int64(report.Frames), Seconds(start))
	return report, nil
}

// Free fails where Make would replace the reel at out, and another program has that open. Make
// asks this before its work; it is for who has work to do before Make.
func (m *Maker) Free(p *plan.Plan, out string) error {
	open := files.Free(out)
	if open == nil {
		return nil
	}
	digest, err := p.Digest(m.Toolchain)
	if err != nil {
		return err
	}
	if old, err := ours(out); err == nil && old.Plan == digest && checkJoined(out, p) == nil {
		return nil // it stays as it is
	}
	return tags.WrongRequest(open)
}

// tellLacks tells what the film of a reel that is there lacks, as far as its segments are still
// in the store.
func (m *Maker) tellLacks(ctx context.Context, p *plan.Plan) {
	jobs, err := m.jobs(p.Entries)
	if err != nil {
		return
	}
	told := map[plan.Key]bool{}
	for _, job := range jobs {
		if !told[job.Key] {
			told[job.Key] = true
			_ = m.schedule().tellLacks(ctx, job)
		}
	}
}

// begin makes the file that will be renamed to out and holds the store, before the work, so
// that a folder that takes no file is known of then. end lets go of both.
func (m *Maker) begin(ctx context.Context, out string) (tmp string, end func(), err error) {
	if err := files.Free(out); err != nil {
		return "", nil, tags.WrongRequest(err)
	}
	tmp, remove, err := spare(out)
	if err != nil {
		return "", nil, FullIn(filepath.Dir(out), fmt.Errorf("write the reel: %w", err))
	}
	letGo, err := m.Store.Hold(ctx)
	if err != nil {
		remove()
		return "", nil, FullIn(m.Store.Root, err)
	}
	return tmp, func() { letGo(); remove() }, nil
}

// reelMark is in the names of reels that are being made.
const reelMark = "trenchcut"

// TooLargeError says that a reel takes more than it may. No reel was written; one that was
// there stays.
type TooLargeError struct{ Bytes int64 }

func (e *TooLargeError) Error() string {
	return fmt.Sprintf("the reel takes %d bytes, which is too much", e.Bytes)
}

// fits fails with a [TooLargeError] where the reel at path takes more than it may.
func (m *Maker) fits(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("weigh the reel: %w", err)
	}
	if m.MaxBytes > 0 && info.Size() > m.MaxBytes {
		return &TooLargeError{Bytes: info.Size()}
	}
	return nil
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

// Warm renders the segments of entries into the store, so that later reels need only be
// joined. It returns how many there are and how many were made now.
func (m *Maker) Warm(ctx context.Context, entries []plan.Entry, events Events) (distinct, rendered int, err error) {
	letGo, err := m.Store.Hold(ctx)
	if err != nil {
		return 0, 0, FullIn(m.Store.Root, err)
	}
	defer letGo()
	jobs, err := m.jobs(entries)
	if err != nil {
		return 0, 0, err
	}
	keys := map[plan.Key]bool{}
	for _, job := range jobs {
		keys[job.Key] = true
	}
	rendered, err = m.schedule().Run(ctx, jobs, events)
	return len(keys), rendered, ofClips(jobs, err)
}

func (m *Maker) jobs(entries []plan.Entry) ([]Job, error) {
	jobs := make([]Job, len(entries))
	for i, e := range entries {
		key, err := e.Segment.Key(m.Toolchain)
		if err != nil {
			return nil, err
		}
		jobs[i] = Job{key, e.Segment, e.Chapter}
	}
	return jobs, nil
}

func (m *Maker) schedule() *Schedule {
	home := &Local{Tool: m.Tool, Toolchain: m.Toolchain, Films: m.Films, Store: m.Store, Log: m.log()}
	s := &Schedule{Store: m.Store, Renderer: home, Workers: m.Workers, AtOnce: m.Workers, KeepGoing: m.KeepGoing, Log: m.log()}
	if m.Elsewhere != nil {
		s.Renderer, s.AtOnce = m.Elsewhere(home), math.MaxInt
	}
	return s
}

// FailedError says which entries, of those that were to be, could not be rendered, and why.
type FailedError struct {
	Entries []int
	Errs    []error // of each
}

func (e *FailedError) Error() string   { return errors.Join(e.Errs...).Error() }
func (e *FailedError) Unwrap() []error { return e.Errs }

// Among returns the part of e about the entries from first up to last, which is not among them,
// counted from first.
func (e *FailedError) Among(first, last int) *FailedError {
	var of FailedError
	for i, n := range e.Entries {
		if n >= first && n < last {
			of.Entries, of.Errs = append(of.Entries, n-first), append(of.Errs, e.Errs[i])
		}
	}
	return &of
}

// ofClips says of which clips the failed jobs in err are; of a full disk none is.
func ofClips(jobs []Job, err error) error {
	var full *FullError
	if errors.As(err, &full) {
		return full
	}
	var all FailedError
	for i, job := range jobs {
		for _, failed := range failures(err) {
			if job.Key == failed.Key {
				all.Entries = append(all.Entries, i)
				all.Errs = append(all.Errs, fmt.Errorf("%s: %w", job.Name, failed.Err))
			}
		}
	}
	if len(all.Entries) == 0 {
		return err
	}
	return &all
}

// failures is the failed jobs that are joined in err.
func failures(err error) []*Error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var list []*Error
		for _, err := range joined.Unwrap() {
			list = append(list, failures(err)...)
		}
		return list
	}
	var failed *Error
	if errors.As(err, &failed) {
		return []*Error{failed}
	}
	return nil
}
