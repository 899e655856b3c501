package film

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"image"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Glance is what one look at a film, picture by small picture, tells of it.
type Glance struct {
	Source plan.Source
	moves  []float32 // by frame: how much moves that the camera does not
	breaks []Break   // in order
	looks  []look    // every lookEvery, in order
}

// Break is a place where one shot ends and the next begins.
type Break struct {
	At   tags.Frame // the first frame of the next shot
	Kind BreakKind
}

// BreakKind is how one shot gives way to the next.
type BreakKind uint8

// The kinds of break.
const (
	Cut   BreakKind = iota // from one frame to the next
	Blend                  // one picture fades into the next; At is amid it
	Blank                  // the picture goes to one colour, or comes from it
)

// part is how much film is looked at in one run of ffmpeg. Runs of one thread each, side
// by side, beat one run of several; each reads a little of its neighbours' film.
const part = 90 * tags.Second

// shortBy is how many frames fewer than its tables say a sound film may hold: the last
// ones of some cameras' films are not there.
const shortBy = 4

// Glance looks at every frame of the film at path, in small, on as many workers. progress,
// where it is not nil, is told of frames that are done, in steps that add up to the film's
// length; its calls may overlap. What was seen is kept, for whoever asks again.
func (l *Library) Glance(ctx context.Context, path string, workers int, progress func(more tags.Frame)) (*Glance, error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return nil, err
	}
	if g, ok := l.glanced(src); ok {
		if progress != nil {
			progress(src.Frames)
		}
		return g, nil
	}
	length := max(src.Rate.Floor(part), 4*margin)
	var spans []tags.Span
	for in := tags.Frame(0); in < src.Frames; in += length {
		spans = append(spans, tags.Span{In: in, Out: min(in+length, src.Frames)})
	}
	// A rest too short to be worth a run goes with the part before it.
	if n := len(spans); n > 1 && spans[n-1].Len() < 4*margin {
		spans[n-2].Out = src.Frames
		spans = spans[:n-1]
	}
	parts := make([]*watcher, len(spans))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(max(workers, 1))
	for i, span := range spans {
		group.Go(func() error {
			parts[i] = newWatcher(src.Rate, span)
			if err := l.watch(ctx, path, src, parts[i], progress); err != nil {
				return fmt.Errorf("look at %s from %s on: %w", path, src.Clock().At(span.In), err)
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	g := &Glance{Source: src}
	for _, w := range parts {
		g.moves = append(g.moves, w.moves...)
		g.breaks = append(g.breaks, w.breaks...)
		g.looks = append(g.looks, w.looks...)
	}
	if now, err := content.Fingerprint(path); err == nil && now == src.Fingerprint {
		l.keepGlance(g)
	}
	return g, nil
}

// glanceVersion counts up when a watcher sees otherwise.
const glanceVersion = 1

// kept is what the cache holds of a glance.
type kept struct {
	Frames tags.Frame
	Moves  []float32
	Breaks []Break
	Looks  []look
}

func (l *Library) glanceFile(src plan.Source) string {
	return filepath.Join(l.cache, fmt.Sprintf("%s.%d.glance", src.Fingerprint, glanceVersion))
}

// glanced is what was seen of a film before; false where nothing whole is kept of that.
func (l *Library) glanced(src plan.Source) (*Glance, bool) {
	data, ok := l.kept(l.glanceFile(src))
	if !ok {
		return nil, false
	}
	var k kept
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil || gob.NewDecoder(z).Decode(&k) != nil || k.Frames != src.Frames || len(k.Moves) != int(k.Frames) {
		return nil, false
	}
	return &Glance{src, k.Moves, k.Breaks, k.Looks}, true
}

// keepGlance writes what was seen to the cache; where it cannot, it is seen again.
func (l *Library) keepGlance(g *Glance) {
	var data bytes.Buffer
	z, _ := gzip.NewWriterLevel(&data, gzip.BestSpeed) // the level is one there is
	err := gob.NewEncoder(z).Encode(kept{g.Source.Frames, g.moves, g.breaks, g.looks})
	if err = errors.Join(err, z.Close()); err == nil {
		l.keep(l.glanceFile(g.Source), data.Bytes())
	}
}

// watch shows one part of a film, and some frames around it, to w.
func (l *Library) watch(ctx context.Context, path string, src plan.Source, w *watcher, progress func(tags.Frame)) error {
	around := tags.Span{In: max(w.span.In-margin, 0), Out: min(w.span.Out+margin, src.Frames)}
	args, err := ffmpeg.SmallArgs(src, path, around, smallWidth, smallHeight)
	if err != nil {
		return err
	}
	n := around.In
	told := w.span.In
	tell := func(to tags.Frame) {
		if to = min(to, w.span.Out); progress != nil && to > told {
			progress(to - told)
			told = to
		}
	}
	err = l.tool.Pictures(ctx, args, smallBytes, func(p []byte) error {
		w.see(n, p)
		n++
		if n%64 == 0 {
			tell(n)
		}
		return nil
	})
	if err != nil && !(around.In > 0 && ffmpeg.Landing(err)) {
		return err
	}
	if n < around.Out-shortBy {
		return fmt.Errorf("it ends after frame %d of %d: it is cut short or damaged", n, src.Frames)
	}
	w.finish()
	tell(w.span.Out)
	return nil
}

// Still is frame n of the film at path, in small: width by height, both even.
func (l *Library) Still(ctx context.Context, path string, n tags.Frame, width, height int) (*image.YCbCr, error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return nil, err
	}
	n = min(max(n, 0), src.Frames-1)
	args, err := ffmpeg.SmallArgs(src, path, tags.Span{In: n, Out: n + 1}, width, height)
	if err != nil {
		return nil, err
	}
	m := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	none := true
	err = l.tool.Pictures(ctx, args, width*height*3/2, func(p []byte) error {
		copy(m.Cb, p[copy(m.Y, p):])
		copy(m.Cr, p[len(m.Y)+len(m.Cb):])
		none = false
		return nil
	})
	if err != nil && !ffmpeg.Landing(err) {
		return nil, fmt.Errorf("show frame %d of %s: %w", n, path, err)
	}
	if none {
		return nil, fmt.Errorf("frame %d of %s cannot be shown", n, path)
	}
	return m, nil
}
