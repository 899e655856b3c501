package ffmpeg

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"net/textproto"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// What an ffmpeg wants for stills.
const (
	StillEncoder = "mjpeg"
	StillMuxer   = "mpjpeg"
)

// StillArgs compiles the arguments that write the frames of the span of a film to standard
// output, one after another, as JPEG pictures of width by height, both even, each as one part
// of a multipart stream. The film is opened earlier than its source says by as much as given.
//
// Frames are counted as [SegmentArgs] counts them: the n-th picture written is the n-th frame
// of the span. No picture is written where the first frame of the span cannot be decoded from
// where the film was opened, and fewer than the span has where the film ends or its pictures
// do.
func StillArgs(src plan.Source, film string, span tags.Span, width, height int, earlier tags.Time) ([]string, error) {
	s := plan.Segment{Source: &src, Span: span, House: plan.House{Width: width, Height: height, Rate: src.Rate}, Speed: plan.Speed{Num: 1, Den: 1}}
	g := newGraph(s)
	g.threads = "0" // decoders give the same pictures on any number of threads, and somebody waits
	_, picture, _ := g.cut(s, film, earlier)
	// The grid counts from the span's start and has no holes, so all frames pass or none does.
	picture = g.last(g.filter(picture, "select", "eq(pts,n)"), s)
	// As JFIF has it: BT.601 over the full range. 4.4 does one of the two at a time.
	picture = g.filter(g.colour(picture, src), "scale", "w="+strconv.Itoa(width), "h="+strconv.Itoa(height), "flags=bicubic",
		"in_color_matrix="+matrix(src), "out_color_matrix=bt601", "out_range=tv")
	picture = g.filter(g.filter(picture, "format", "yuv420p"), "scale", "in_range=tv", "out_range=pc")
	picture = g.filter(picture, "format", "yuvj420p")
	return g.compileToPipe(picture, options{"f": StillMuxer, "c:v": StillEncoder, "q:v": "4", "threads": "1", "flush_packets": "1"})
}

// mostStill bounds the bytes of one JPEG that is read from ffmpeg.
const mostStill = 32 << 20

// Stills runs ffmpeg with args of [StillArgs] and hands each picture to each as soon as it is
// there; each may keep it. An error of its own ends the run. What ffmpeg says of damage is no
// error: what decodes is shown.
func (t Tool) Stills(ctx context.Context, args []string, each func(jpeg []byte) error) error {
	_, err := t.stills(ctx, args, each)
	return err
}

// stills is [Tool.Stills], and what ffmpeg said of damage.
func (t Tool) stills(ctx context.Context, args []string, each func(jpeg []byte) error) (said string, err error) {
	// Where most of so few pictures are damaged ffmpeg would end with a failure.
	args = append([]string{"-max_error_rate", "1"}, args...)
	given := false
	said, err = t.pictures(ctx, args, func(stdout io.Reader) func() ([]byte, error) {
		in := bufio.NewReaderSize(stdout, 256<<10)
		return func() ([]byte, error) { return readStill(in) }
	}, func(jpeg []byte) error {
		given = true
		return each(jpeg)
	})
	var run *Error
	if errors.As(err, &run) && brokeDown(run.Err) && !given {
		return run.Stderr, nil
	}
	return said, err
}

// ErrNoPicture says that a frame of a film cannot be decoded.
var ErrNoPicture = errors.New("no picture can be decoded there")

// Still is frame n of the film at path, of width by height, both even. A frame that cannot be
// decoded is [ErrNoPicture]; of a damaged one it is what decodes.
func (t Tool) Still(ctx context.Context, src plan.Source, path string, n tags.Frame, width, height int) (image.Image, error) {
	return t.still(ctx, src, path, n, width, height, true)
}

// WholeStill is [Tool.Still], where a damaged frame is [ErrNoPicture] too: one around which the decoder
// complains wherever the film is opened.
func (t Tool) WholeStill(ctx context.Context, src plan.Source, path string, n tags.Frame, width, height int) (image.Image, error) {
	return t.still(ctx, src, path, n, width, height, false)
}

func (t Tool) still(ctx context.Context, src plan.Source, path string, n tags.Frame, width, height int, damaged bool) (image.Image, error) {
	span := tags.Span{In: n, Out: n + 1}
	for earlier := range Earlier(plan.Segment{Source: &src, Span: span}) {
		args, err := StillArgs(src, path, span, width, height, earlier)
		if err != nil {
			return nil, err
		}
		var picture image.Image
		said, err := t.stills(ctx, args, func(data []byte) error {
			picture, err = jpeg.Decode(bytes.NewReader(data))
			return err
		})
		if err != nil || picture != nil && (damaged || said == "") {
			return picture, err
		}
	}
	return nil, ErrNoPicture
}

// readStill reads one part of ffmpeg's multipart stream: a line that parts, a head that says
// how long the picture is, the picture, and the end of its line.
func readStill(in *bufio.Reader) ([]byte, error) {
	lines := textproto.NewReader(in)
	if _, err := lines.ReadLine(); err != nil {
		return nil, err
	}
	head, err := lines.ReadMIMEHeader()
	if err != nil {
		return nil, err
	}
	size, err := strconv.Atoi(head.Get("Content-Length"))
	if err != nil || size < 0 || size > mostStill {
		return nil, fmt.Errorf("a picture of %q bytes", head.Get("Content-Length"))
	}
	picture := make([]byte, size)
	if _, err := io.ReadFull(in, picture); err != nil {
		return nil, err
	}
	_, err = lines.ReadLine()
	return picture, errors.Join(err)
}
