package ffmpeg

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// FirstArgs compiles the arguments that write the number of a film's first key frame to
// standard output, as framecrc does: behind the comments, a line whose second field it is.
// Frames are counted as [SegmentArgs] counts them.
func FirstArgs(src plan.Source, film string) ([]string, error) {
	guard := src.Rate.Duration(1) / 4
	if src.Variable {
		guard = tags.Millisecond / 1000
	}
	g := &graph{}
	picture := g.input(film, filmFormats, options{"threads": "1"}).Get(strconv.Itoa(src.Video))
	picture = g.filter(picture, "select", "key")
	picture = g.filter(picture, "settb", fmt.Sprintf("1/%d", tags.Second))
	picture = g.filter(picture, "setpts", fmt.Sprintf("PTS-%d", src.First+guard))
	picture = g.filter(picture, "fps", "fps="+src.Rate.String(), "round=up")
	picture = g.filter(picture, "scale", "w=16", "h=16")
	return g.compileToPipe(picture, options{"f": "framecrc", "frames:v": "1", "threads": "1"})
}

// First is the first frame of a film that can be decoded: the first that needs no frame
// before it. It is not 0 where the recording begins amid a group of pictures. What decoders
// make of the frames before is nothing that was filmed.
func (t Tool) First(ctx context.Context, src plan.Source, film string) (tags.Frame, error) {
	args, err := FirstArgs(src, film)
	if err != nil {
		return 0, err
	}
	out, err := t.output(ctx, t.FFmpeg, append([]string{"-hide_banner", "-v", "error", "-nostdin"}, args...)...)
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(out)) {
		if fields := strings.Split(line, ","); !strings.HasPrefix(line, "#") && len(fields) > 2 {
			n, err := strconv.ParseInt(strings.TrimSpace(fields[1]), 10, 64)
			return tags.Frame(max(n, 0)), err
		}
	}
	return 0, errors.New("no frame of it can be decoded")
}

// beginnings is what decoders say, beside [landings], of pictures whose group begins before
// the film does.
var beginnings = append([]string{
	"non-existing PPS",             // H.264
	"no frame!",                    // H.264
	"PPS id out of range",          // HEVC
	"Invalid frame dimensions 0x0", // MPEG-2
}, landings...)

// Beginning reports whether err is a complaint that says nothing but what is said where a
// film begins amid a group of pictures. It may be said of damage, too, so only [Tool.First]
// tells that a film does.
func Beginning(err error) bool {
	var e *Error
	if !errors.As(err, &e) || !errors.Is(err, ErrComplained) {
		return false
	}
	said := e.Stderr
	if len(said) >= tailSize {
		// What is lost was said first, so of the beginning too.
		_, said, _ = strings.Cut(said, "\n")
	}
	return onlySaid(said, beginnings)
}
