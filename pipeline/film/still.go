package film

import (
	"context"
	"errors"
	"fmt"
	"image"
	"slices"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Pictures calls each with the frames of span of the film at path, in order, scaled to
// width by height, both even. Planes are planar 4:2:0 and good until each returns. Film
// that ends early gives fewer frames and may give no error. Complaints of the decoder about
// the span are an error after the last frame; what it says of film before the span is none.
func (l *Library) Pictures(ctx context.Context, path string, span tags.Span, width, height int, each func(n tags.Frame, planes []byte)) error {
	src, err := l.Source(ctx, path)
	if err != nil {
		return err
	}
	args, err := ffmpeg.SmallArgs(src, path, span, width, height)
	if err != nil {
		return err
	}
	n := span.In
	err = l.tool.Pictures(ctx, args, width*height*3/2, func(planes []byte) error {
		each(n, planes)
		n++
		return nil
	})
	s := plan.Segment{Source: &src, Span: span}
	switch seek, _ := ffmpeg.Opening(s, 0); {
	case seek > 0 && ffmpeg.Landing(err):
		return nil
	case src.Lost == 0 || !errors.Is(err, ffmpeg.ErrComplained):
		return err
	}
	// What it said may be of the pictures that are lost.
	found, failed := l.tool.Examine(ctx, s, path, "")
	if failed != nil {
		return failed
	}
	if found.Damage != nil {
		return err
	}
	return nil
}

// Still is frame n of the film at path, scaled to width by height, both even. A frame
// before the first or after the last is the first or the last.
func (l *Library) Still(ctx context.Context, path string, n tags.Frame, width, height int) (*image.YCbCr, error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return nil, err
	}
	n = min(max(n, 0), src.Frames-1)
	m := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	none := true
	err = l.Pictures(ctx, path, tags.Span{In: n, Out: n + 1}, width, height, func(_ tags.Frame, planes []byte) {
		fill(m, planes)
		none = false
	})
	if err != nil {
		return nil, fmt.Errorf("show frame %d of %s: %w", n, path, err)
	}
	if none {
		return nil, fmt.Errorf("frame %d of %s cannot be shown", n, path)
	}
	return m, nil
}

// stillVersion counts up when a still shows a frame otherwise.
const stillVersion = 1

// KeptStill is [Library.Still] for what is asked for again whenever the page of a reel is made: it
// is kept in the cache, where it can be.
func (l *Library) KeptStill(ctx context.Context, path string, n tags.Frame, width, height int) (*image.YCbCr, error) {
	src, err := l.Source(ctx, path)
	if err != nil {
		return nil, err
	}
	kind := fmt.Sprintf("%d.%dx%d.%d.still", n, width, height, stillVersion)
	m := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	if planes, ok := l.Kept(src, kind); ok && len(planes) == len(m.Y)+len(m.Cb)+len(m.Cr) {
		fill(m, planes)
		return m, nil
	}
	if m, err = l.Still(ctx, path, n, width, height); err == nil {
		l.Keep(src, kind, slices.Concat(m.Y, m.Cb, m.Cr))
	}
	return m, err
}

// fill copies the planes of a picture, one behind the other, into m.
func fill(m *image.YCbCr, planes []byte) {
	copy(m.Cb, planes[copy(m.Y, planes):])
	copy(m.Cr, planes[len(m.Y)+len(m.Cb):])
}
