// Package demo draws the film of the demo season from its tags: a coach's diagram of
// each play, seen by two cameras, in which every man does what the tags say of him.
package demo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/sync/errgroup"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Options say how the demo season is written.
type Options struct {
	// Run runs ffmpeg with args and stdin to its end; an error where it did not succeed.
	// It must be given, and may be called for several films at once.
	Run func(ctx context.Context, args []string, stdin io.Reader) error
	// Workers is how many films are drawn at once; at least one.
	Workers int
}

// ErrEdited says that a tag file of the season is there with other content, which is kept:
// it may be somebody's work.
var ErrEdited = errors.New("the tag file is there and is not as the demo writes it; name another folder")

// Write writes the demo season into dir, which it makes: the tag files, and their films
// in film below it. A film that is there whole, drawn from the same tags in the same way,
// is left alone; tag files that differ are [ErrEdited]. The first film that fails stops the
// others. Progress, where it is not nil, is told how many of the frames to draw are done;
// its calls do not overlap.
func Write(ctx context.Context, dir string, opts Options, progress func(done, total tags.Frame)) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	texts, films, err := season(dir)
	if err != nil {
		return err
	}
	return writeSeason(ctx, dir, texts, films, opts, progress)
}

func writeSeason(ctx context.Context, dir string, texts map[string][]byte, films []*film, opts Options, progress func(done, total tags.Frame)) error {
	for name, data := range texts {
		if there, err := os.ReadFile(name); err == nil && !bytes.Equal(there, data) {
			return fmt.Errorf("demo: %w: %s", ErrEdited, name)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	var todo []*film
	var total tags.Frame
	for _, f := range films {
		if err := os.MkdirAll(filepath.Dir(f.file), 0o755); err != nil {
			return fmt.Errorf("demo: %w", err)
		}
		if !f.stamped() {
			todo = append(todo, f)
			total += f.frames
		}
	}
	for name, data := range texts {
		if err := files.Write(name, data); err != nil {
			return fmt.Errorf("demo: %w", err)
		}
	}
	each := counter(total, progress)
	drawing, ctx := errgroup.WithContext(ctx)
	drawing.SetLimit(max(opts.Workers, 1))
	for _, f := range todo {
		drawing.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := f.make(ctx, opts.Run, each); err != nil {
				return fmt.Errorf("demo film %s: %w", f.about(), err)
			}
			return nil
		})
	}
	return drawing.Wait()
}

// counter counts frames from several films at once.
func counter(total tags.Frame, progress func(done, total tags.Frame)) func() {
	if progress == nil {
		return func() {}
	}
	var mu sync.Mutex
	var done tags.Frame
	return func() {
		mu.Lock()
		defer mu.Unlock()
		done++
		progress(done, total)
	}
}

// make draws one film under another name and moves it into place when it is whole.
func (f *film) make(ctx context.Context, run func(context.Context, []string, io.Reader) error, each func()) (err error) {
	// A stamp must never outlive the film it was for.
	if err := os.Remove(stampFile(f.file)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	part, err := files.Spare(f.file, "part")
	if err != nil {
		return err
	}
	defer os.Remove(part)
	sound := ""
	if f.sound {
		sound = part + ".pcm"
		defer os.Remove(sound)
		if err := f.soundFile(sound); err != nil {
			return err
		}
	}
	if err := f.encode(ctx, f.args(sound, part), run, each); err != nil {
		return err
	}
	if err := files.Replace(part, f.file); err != nil {
		return err
	}
	return f.stamp()
}

// encode feeds the pictures to ffmpeg through a pipe.
func (f *film) encode(ctx context.Context, args []string, run func(context.Context, []string, io.Reader) error, each func()) error {
	// A pipe of the system's, not io.Pipe: ffmpeg reads it without a copy between.
	r, w, err := os.Pipe()
	if err != nil {
		return err
	}
	written := make(chan error, 1)
	go func() {
		written <- errors.Join(newPainter(f).writeTo(w, each), w.Close())
	}()
	ran := run(ctx, args, r)
	r.Close() // where ffmpeg stopped early, so does the painter
	wrote := <-written
	if ran != nil {
		return ran // the painter's broken pipe is only its echo
	}
	return wrote
}

func (f *film) soundFile(name string) error {
	file, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	samples := sampleAt(f.rate.Duration(f.frames))
	return errors.Join(f.writeSound(file, samples), file.Close())
}
