package ffmpeg

import (
	"context"
	"io"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// leastShrink is how many times smaller a picture is to be that need not be smoothed.
const leastShrink = 4

// SmallArgs compiles the arguments that write every frame of the span of a film to
// standard output, one after another, as raw pictures of width by height, both even:
// planar 4:2:0, width×height×3/2 bytes each. Frames are counted as [SegmentArgs] counts
// them.
func SmallArgs(src plan.Source, film string, span tags.Span, width, height int) ([]string, error) {
	s := plan.Segment{Source: &src, Span: span}
	g := newGraph(s)
	// Smoothing costs a seventh of decoding and cannot be seen in pictures this small. Pictures
	// that others are decoded from need it, or the fault would grow.
	g.rough = leastShrink*width <= src.Width
	_, picture, _ := g.cut(s, film, 0)
	// The first picture decoded also stands for those missing before it, so that the n-th
	// picture written is the n-th of the span.
	picture = g.filter(picture, "fps", "fps="+src.Rate.String(), "start_time=0", "round=near")
	// Averaged over the area it stands for, or else fine patterns flicker when small.
	picture = g.filter(picture, "scale", "w="+strconv.Itoa(width), "h="+strconv.Itoa(height), "flags=area")
	picture = g.filter(picture, "format", "yuv420p")
	args, err := g.compileToPipe(picture, options{"f": "rawvideo", "c:v": "rawvideo", "threads": "1"})
	return append([]string{"-filter_complex_threads", "1"}, args...), err
}

// Pictures runs ffmpeg with args that write to standard output, and hands each run of
// size bytes to each, which must not keep it; an error of its own ends the run. A run
// that exits well but complained is ErrComplained, and one that stands still is ended, as
// with [Tool.Run].
func (t Tool) Pictures(ctx context.Context, args []string, size int, each func(picture []byte) error) error {
	said, err := t.pictures(ctx, args, func(stdout io.Reader) func() ([]byte, error) {
		picture := make([]byte, size)
		return func() ([]byte, error) {
			_, err := io.ReadFull(stdout, picture)
			return picture, err
		}
	}, each)
	if err == nil && said != "" {
		return &Error{Err: ErrComplained, Stderr: said}
	}
	return err
}

// pictures runs ffmpeg with args that write pictures to standard output, and hands each to
// each; an error of its own ends the run. Reader makes of the output what reads the next
// picture. Said is what ffmpeg complained of in a run that exits well.
func (t Tool) pictures(ctx context.Context, args []string, reader func(stdout io.Reader) func() ([]byte, error), each func(picture []byte) error) (said string, err error) {
	var stderr tail
	var own error
	cause, err := t.start(ctx, process{
		name: t.FFmpeg, args: append([]string{"-hide_banner", "-v", "error", "-nostdin"}, args...), said: &stderr,
		read: func(stdout io.Reader, moved func()) error {
			next := reader(stdout)
			for own == nil {
				picture, err := next()
				if err != nil {
					return nil // the end, or of a film cut off amid a picture, about which ffmpeg speaks up
				}
				moved()
				own = each(picture)
			}
			return own
		},
	})
	switch {
	case own != nil:
		return "", own
	case cause != nil || err != nil:
		return "", failure(cause, err, stderr.String())
	}
	return stderr.String(), nil
}
