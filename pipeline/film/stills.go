package film

import (
	"context"
	"fmt"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// ErrNoPicture says that a frame of a film cannot be decoded.
var ErrNoPicture = ffmpeg.ErrNoPicture

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
