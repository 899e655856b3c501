package film

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// ErrNoPicture says that a frame of a film cannot be decoded.
var ErrNoPicture = errors.New("no picture can be decoded there")

// Stills calls each with the frames of span of the film at path, in order, as JPEG of width
// by height, both even, each as soon as it is decoded. Frames are those that a reel cuts.
// each may keep the pictures. A frame that cannot be decoded is [ErrNoPicture], after those
// before it.
func (l *Library) Stills(ctx context.Context, path string, span tags.Span, width, height int, each func(n tags.Frame, jpeg []byte)) error {
	src, err := l.Source(ctx, path)
	if err != nil {
		return err
	}
	span = tags.Span{In: max(span.In, 0), Out: min(span.Out, src.Frames)}
	n := span.In
	for n < span.Out {
		began := n
		for earlier := range ffmpeg.Earlier(plan.Segment{Source: &src, Span: tags.Span{In: n, Out: span.Out}}) {
			args, err := ffmpeg.StillArgs(src, path, tags.Span{In: n, Out: span.Out}, width, height, earlier)
			if err != nil {
				return err
			}
			err = l.tool.Stills(ctx, args, func(jpeg []byte) error {
				each(n, jpeg)
				n++
				return nil
			})
			if err != nil {
				return err
			}
			if n > began {
				break
			}
		}
		if n == began {
			return fmt.Errorf("frame %d of %s: %w", n, files.Base(path), ErrNoPicture)
		}
	}
	return nil
}

// StandIn writes a movie to out that every browser plays and whose frame n is frame n of the
// film at path: H.264 of width by height, both even, at the film's rate, with its sound.
// progress, which may be nil, is told of frames that are done so far. It fails where the movie
// has not as many frames as the film.
func (l *Library) StandIn(ctx context.Context, path, out string, width, height int, progress func(done tags.Frame)) error {
	src, err := l.Source(ctx, path)
	if err != nil {
		return err
	}
	args, err := ffmpeg.StandInArgs(src, path, width, height, out)
	if err != nil {
		return err
	}
	if err := l.tool.StandIn(ctx, args, progress); err != nil {
		return fmt.Errorf("make a stand-in of %s: %w", files.Base(path), err)
	}
	r, err := l.tool.Probe(ctx, out)
	if err != nil {
		return fmt.Errorf("make a stand-in of %s: %w", files.Base(path), err)
	}
	if video, _ := pick(r); video == nil || video.Frames != strconv.FormatInt(int64(src.Frames), 10) {
		return fmt.Errorf("make a stand-in of %s: it has not the film's %d frames", files.Base(path), src.Frames)
	}
	return nil
}
