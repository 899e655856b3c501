package ffmpeg

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net/textproto"
	"strconv"
	"time"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
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
	// As JFIF has it: BT.601 over the full range.
	picture = g.filter(g.colour(picture, src), "scale", "w="+strconv.Itoa(width), "h="+strconv.Itoa(height), "flags=bicubic",
		"in_color_matrix="+matrix(src), "out_color_matrix=bt601", "out_range=pc")
	picture = g.filter(picture, "format", "yuvj420p")
	return g.compileToPipe(picture, options{"f": "mpjpeg", "c:v": "mjpeg", "q:v": "4", "threads": "1", "flush_packets": "1"})
}

// mostStill bounds the bytes of one JPEG that is read from ffmpeg.
const mostStill = 32 << 20

// Stills runs ffmpeg with args of [StillArgs] and hands each picture to each as soon as it is
// there; each may keep it. An error of its own ends the run. What ffmpeg says of damage is no
// error: what decodes is shown.
func (t Tool) Stills(ctx context.Context, args []string, each func(jpeg []byte) error) error {
	var stderr tail
	var own error
	cause, err := t.start(ctx, process{
		name: t.FFmpeg, args: append([]string{"-hide_banner", "-v", "error", "-nostdin"}, args...), said: &stderr,
		read: func(stdout io.Reader, moved func()) error {
			in := bufio.NewReaderSize(stdout, 256<<10)
			for own == nil {
				picture, err := readStill(in)
				if err != nil {
					return nil // the end; the exit code tells of others
				}
				moved()
				own = each(picture)
			}
			return own
		},
	})
	switch {
	case own != nil:
		return own
	case cause != nil || err != nil:
		return failure(cause, err, stderr.String())
	}
	return nil
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

// standInPatience is how long ffmpeg may take over what it does at the end of a long movie,
// when it moves the movie's tables to the front and tells nothing.
const standInPatience = 15 * time.Minute

// StandInArgs compiles the arguments that write the whole of a film to out as a movie that
// every browser plays: H.264 of width by height, both even, at the film's rate, so that frame
// n of the movie is frame n of the film, with its sound where it has any.
func StandInArgs(src plan.Source, film string, width, height int, out string) ([]string, error) {
	house := plan.House{Width: width, Height: height, Rate: src.Rate}
	s := plan.Segment{
		Kind: plan.Film, House: house, Source: &src, Span: tags.Span{Out: src.Frames}, Speed: plan.Speed{Num: 1, Den: 1},
		Fit:     plan.Fit{Width: width, Height: height},
		Damaged: true, // the picture before stands for one that cannot be decoded
	}
	g := newGraph(s)
	o := options{
		"f": "mp4", "movflags": "+faststart", "map_metadata": "-1", "map_chapters": "-1",
		"c:v": "libx264", "preset": "ultrafast", "crf": "26", "bf": "0", "pix_fmt": "yuv420p", "threads": "1",
		"g":                     strconv.FormatInt(src.Rate.Nominal()/2, 10),
		"video_track_timescale": strconv.FormatInt(src.Rate.Num, 10),
		"color_range":           "tv", "colorspace": "bt709", "color_primaries": "bt709", "color_trc": "bt709",
	}
	in, picture, off := g.cut(s, film, 0)
	picture = g.filter(g.fit(g.last(picture, s), src, s.Fit), "setsar", "1")
	streams := []*stream{picture}
	if src.Audio >= 0 {
		seek, _ := Opening(s, 0)
		sound := g.fromSeek(in.Get(strconv.Itoa(src.Audio)), src, seek)
		sound = g.filter(sound, "aresample", strconv.Itoa(plan.SampleRate), "async=1", "first_pts=0")
		sound = g.filter(sound, "aformat", "channel_layouts=stereo")
		sound = g.filter(sound, "atrim", "start="+off.Decimal())
		sound = g.filter(sound, "asetpts", "PTS-STARTPTS")
		sound = g.filter(sound, "atrim", fmt.Sprintf("end_sample=%d", s.Samples()))
		streams = append(streams, sound)
		o["c:a"], o["b:a"] = "aac", "96k"
	}
	return g.compile(streams, out, o)
}

// StandIn runs ffmpeg with args of [StandInArgs] and calls progress with the number of frames
// written so far. What ffmpeg says of damage is no error.
func (t Tool) StandIn(ctx context.Context, args []string, progress func(tags.Frame)) error {
	t.Patience = max(t.patience(), standInPatience)
	err := t.Run(ctx, args, nil, progress)
	if errors.Is(err, ErrComplained) {
		return nil
	}
	return err
}
