package render

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"log/slog"
	"os"
	"path/filepath"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Job asks for one segment. It carries what the segment is, never arguments or paths,
// so that any machine with the film can do it.
type Job struct {
	Key     plan.Key
	Segment plan.Segment
	Name    string // what it is called where it is spoken of
}

// Renderer renders segments into a store. Progress is called with the frames done.
type Renderer interface {
	Render(ctx context.Context, job Job, progress func(tags.Frame)) error
}

// Queuer is a [Renderer] that is told of all jobs before the first is to be rendered, in the
// order in which they are best begun.
type Queuer interface {
	Queue(ctx context.Context, jobs []Job)
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
	Log       *slog.Logger // is told what is decided on the way; nil is nobody
	// Away renders for another machine: what lacks something of its film is left to that
	// machine, with [ErrAtHome], because it is told with the film's name there.
	Away bool
	// Stretches says that only stretches of film are here. What is not cut clean the first
	// time, for which more of the film must be seen, is left to the other with [ErrAtHome].
	Stretches bool
	// Vouch fails where the film at path is not, or no longer, that of a fingerprint. Nil
	// compares the fingerprint of the file.
	Vouch func(path, fingerprint string) error
}

// ErrAtHome says that a segment is to be rendered where the whole of its film is.
var ErrAtHome = errors.New("the film is damaged or lacks something there, which the machine that asked must see to")

func (l *Local) vouch(path, fingerprint string) error {
	if l.Vouch != nil {
		return l.Vouch(path, fingerprint)
	}
	return content.Vouch(path, fingerprint)
}

func (l *Local) log() *slog.Logger { return cmp.Or(l.Log, quiet) }

// Render implements Renderer. Nothing but a verified movie reaches the store.
func (l *Local) Render(ctx context.Context, job Job, progress func(tags.Frame)) error {
	err := l.render(ctx, job, progress)
	if err != nil && ctx.Err() == nil {
		var run *ffmpeg.Error
		return &Error{Key: job.Key, Err: err, Again: errors.As(err, &run) && run.Again}
	}
	return err
}

func (l *Local) render(ctx context.Context, job Job, progress func(tags.Frame)) error {
	key, err := job.Segment.Key(l.Toolchain)
	if err != nil {
		return err
	}
	if key != job.Key {
		return errors.New("the job's key is not that of its segment here: another version of ffmpeg or of this program made it")
	}
	hold, err := l.Store.holdSegment(ctx, key)
	if err != nil {
		return FullIn(l.Store.Root, err)
	}
	defer hold.Unlock()
	if have, err := l.Store.Lookup(ctx, key, job.Segment); have || err != nil {
		return err // another run was quicker
	}
	dir, err := l.Store.Temp()
	if err != nil {
		return FullIn(l.Store.Root, err)
	}
	defer os.RemoveAll(dir)
	slots, err := l.slots(ctx, job.Segment, dir)
	if err != nil {
		return FullIn(l.Store.Root, err)
	}
	work := cutting{Local: l, segment: job.Segment, slots: slots, dir: dir, progress: progress}
	if err := work.cut(ctx); err != nil {
		return FullIn(l.Store.Root, err)
	}
	// The key vouches for the film it was made from, so the file must still be that film.
	for _, s := range stretches(job.Segment, slots) {
		if err := l.vouch(s.path, s.of.Source.Fingerprint); err != nil {
			return err
		}
	}
	if l.Away && len(work.lacks) > 0 {
		return ErrAtHome
	}
	if err := writeLacks(slots.Out, work.lacks); err != nil {
		return FullIn(l.Store.Root, err)
	}
	return FullIn(l.Store.Root, l.Store.Put(ctx, key, slots.Out))
}

// byHand tells how to repeat what failed, while the pictures drawn for it are still there
// to be measured.
func byHand(err error, s plan.Segment, slots ffmpeg.Slots) error {
	var run *ffmpeg.Error
	if errors.As(err, &run) && !errors.Is(err, ffmpeg.ErrFull) {
		run.ByHand, _ = ffmpeg.ByHand(s, slots) // of a run that failed before there was anything to repeat, none
	}
	return err
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
		if s.Below != nil {
			if slots.Below, err = l.Films.Path(ctx, s.Below.Source.Fingerprint); err != nil {
				return slots, err
			}
		}
	} else {
		card, err := l.Slate(ctx, s)
		if err != nil {
			return slots, err
		}
		slots.Card = filepath.Join(dir, "card.png")
		if err := writePicture(slots.Card, draw.Picture{Image: card}.PNG); err != nil {
			return slots, err
		}
	}
	for i, layer := range s.Layers {
		o := ffmpeg.Overlay{Path: filepath.Join(dir, fmt.Sprintf("layer%d.png", i)), Span: layer.Span}
		p, err := drawn(layer, s, &o)
		if err != nil {
			return slots, err
		}
		if err := writePicture(o.Path, p.PNG); err != nil {
			return slots, err
		}
		o.X, o.Y = p.At.X, p.At.Y
		slots.Overlays = append(slots.Overlays, o)
	}
	return slots, nil
}

// Slate is a slate's picture: its card, or a picture of the staff's own, which must be the
// one that the key vouches for.
func (l *Local) Slate(ctx context.Context, s plan.Segment) (*image.NRGBA, error) {
	if s.Picture == "" {
		still, err := l.still(ctx, s.Still, s.House)
		if err != nil {
			return nil, err
		}
		return draw.Card(*s.Card, still, s.Look, s.House)
	}
	path, err := l.Films.Path(ctx, s.Picture)
	if err != nil {
		return nil, err
	}
	data, err := files.Read(path, draw.MostPicture)
	if err != nil {
		return nil, err
	}
	if content.HashOf(data) != s.Picture {
		return nil, fmt.Errorf("picture %s was changed while the reel was made", path)
	}
	return draw.Plate(data, s.Fit, s.Look, s.House)
}

// still is the frame of film that stands on a slate. Where it is damaged there is
// none, which is said: the slate's text is what must be seen.
func (l *Local) still(ctx context.Context, s *plan.Still, house plan.House) (*draw.Still, error) {
	if s == nil {
		return nil, nil
	}
	path, err := l.Films.Path(ctx, s.Source.Fingerprint)
	if err != nil {
		return nil, err
	}
	// As large as covers the whole slate, however its place is cut from it.
	size := plan.House{Width: s.Source.Width, Height: s.Source.Height}
	if scale := max(float64(house.Width)/float64(size.Width), float64(house.Height)/float64(size.Height)); scale < 1 {
		size.Width, size.Height = int(float64(size.Width)*scale), int(float64(size.Height)*scale)
	}
	picture, err := l.Tool.WholeStill(ctx, *s.Source, path, s.Frame, size.Width/2*2, size.Height/2*2)
	switch {
	case errors.Is(err, ffmpeg.ErrNoPicture) && l.Away:
		return nil, ErrAtHome
	case errors.Is(err, ffmpeg.ErrNoPicture):
		l.log().Info("a slate without its still", "film", files.Named(path), "frame", s.Frame)
		return nil, nil
	case err != nil:
		return nil, err
	}
	if err := l.vouch(path, s.Source.Fingerprint); err != nil {
		return nil, err
	}
	return &draw.Still{Picture: picture, X: s.At.X, Y: s.At.Y}, nil
}

// drawn is what a layer of s looks like; where the picture moves, o is told how.
func drawn(l plan.Layer, s plan.Segment, o *ffmpeg.Overlay) (draw.Picture, error) {
	switch {
	case l.Label != nil:
		return draw.Label(*l.Label, s.Look, s.House)
	case l.Ring != nil:
		p, err := draw.Ring(*l.Ring, s.Look, s.House)
		for _, k := range l.Ring.Way {
			k.At.X, k.At.Y = k.At.X+p.At.X-l.Ring.At.X, k.At.Y+p.At.Y-l.Ring.At.Y
			o.Way = append(o.Way, k)
		}
		if len(o.Way) > 0 {
			o.Ease = min(s.House.Rate.Ceil(plan.Ease), l.Span.Len()/2)
		}
		return p, err
	case l.Drawing != nil:
		o.Ease = min(s.House.Rate.Ceil(plan.Ease), l.Span.Len()/2)
		d, err := draw.Figure(*l.Drawing, s.Look, s.House)
		o.States, o.Height = d.States, d.Height
		return d.Picture, err
	case l.Clock != nil:
		c, err := draw.Clock(*l.Clock, l.Span, s.Look, s.House)
		o.States, o.Height = c.States, c.Height
		return c.Picture, err
	default:
		return draw.Picture{}, errors.New("a layer with nothing on it")
	}
}

func writePicture(path string, encode func(io.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	w := bufio.NewWriter(f)
	if err := cmp.Or(encode(w), w.Flush(), f.Close()); err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	return nil
}
