package render

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Job asks for one segment. It carries what the segment is, never arguments or paths,
// so that any machine with the film can do it.
type Job struct {
	Key     plan.Key
	Segment plan.Segment
}

// Result is what became of a Job.
type Result struct {
	Key     plan.Key
	Frames  tags.Frame
	Samples int64
}

// Renderer renders segments into a store. Progress is called with the frames done.
type Renderer interface {
	Render(ctx context.Context, job Job, progress func(tags.Frame)) (Result, error)
}

// Films finds film by fingerprint.
type Films interface {
	Path(ctx context.Context, fingerprint string) (string, error)
}

// Error is a job that failed. Again reports whether it may succeed another time.
type Error struct {
	Key   plan.Key
	Err   error
	Again bool
}

func (e *Error) Error() string { return fmt.Sprintf("render segment %.12s: %v", string(e.Key), e.Err) }

func (e *Error) Unwrap() error { return e.Err }

// Local renders on this machine.
type Local struct {
	Tool      ffmpeg.Tool
	Toolchain string // Tool.Version, part of every key
	Films     Films
	Store     Dir
}

// Render implements Renderer. Nothing but a verified movie reaches the store.
func (l *Local) Render(ctx context.Context, job Job, progress func(tags.Frame)) (Result, error) {
	r, err := l.render(ctx, job, progress)
	if err != nil && ctx.Err() == nil {
		var run *ffmpeg.Error
		return r, &Error{Key: job.Key, Err: err, Again: errors.As(err, &run) && run.Again}
	}
	return r, err
}

func (l *Local) render(ctx context.Context, job Job, progress func(tags.Frame)) (Result, error) {
	key, err := job.Segment.Key(l.Toolchain)
	if err != nil {
		return Result{}, err
	}
	if key != job.Key {
		return Result{}, errors.New("the job's key is not that of its segment here: another version of ffmpeg or of this program made it")
	}
	dir, err := l.Store.Temp()
	if err != nil {
		return Result{}, err
	}
	defer os.RemoveAll(dir)
	slots, err := l.slots(ctx, job.Segment, dir)
	if err != nil {
		return Result{}, err
	}
	args, err := ffmpeg.SegmentArgs(job.Segment, slots)
	if err != nil {
		return Result{}, err
	}
	if err := l.Tool.Run(ctx, args, nil, progress); err != nil {
		return Result{}, err
	}
	m, err := verify(slots.Out, job.Segment)
	if err != nil {
		return Result{}, err
	}
	if err := l.Store.Put(ctx, key, slots.Out); err != nil {
		return Result{}, err
	}
	return Result{key, tags.Frame(m.frames), m.samples}, nil
}

// slots draws what is to be drawn into dir and says where everything lies.
func (l *Local) slots(ctx context.Context, s plan.Segment, dir string) (ffmpeg.Slots, error) {
	slots := ffmpeg.Slots{Out: filepath.Join(dir, "segment.mov")}
	if s.Kind == plan.Film {
		path, err := l.Films.Path(ctx, s.Source.Fingerprint)
		if err != nil {
			return slots, err
		}
		slots.Film = path
	} else {
		card, err := draw.Card(*s.Card, s.Look, s.House)
		if err != nil {
			return slots, err
		}
		slots.Card = filepath.Join(dir, "card.png")
		if err := writePicture(slots.Card, draw.Picture{Image: card}.PNG); err != nil {
			return slots, err
		}
	}
	for i, layer := range s.Layers {
		p, err := draw.Label(layer.Label, s.Look, s.House)
		if err != nil {
			return slots, err
		}
		path := filepath.Join(dir, fmt.Sprintf("layer%d.png", i))
		if err := writePicture(path, p.PNG); err != nil {
			return slots, err
		}
		slots.Overlays = append(slots.Overlays, ffmpeg.Overlay{Path: path, X: p.At.X, Y: p.At.Y, Span: layer.Span})
	}
	return slots, nil
}

func writePicture(path string, encode func(io.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	w := bufio.NewWriter(f)
	if err := errors.Join(encode(w), w.Flush(), f.Close()); err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	return nil
}
