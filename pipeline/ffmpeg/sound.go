package ffmpeg

import (
	"errors"
	"fmt"
	"strconv"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// SoundArgs compiles the arguments that write the sound of a film to standard output, as
// raw little-endian samples of 16 bits, one channel, rate of them a second: exactly
// samples of them from the time in on, silence where the film has none. Pictures are not
// decoded. Whole has packets decoded as the film holds them, as [OpusEnd] wants it.
func SoundArgs(src plan.Source, film string, in tags.Time, rate int, samples int64, whole bool) ([]string, error) {
	if src.Audio < 0 {
		return nil, errors.New("the film has no sound")
	}
	seek := open(src, in, 0)
	off := in - seek
	length := tags.Time(samples) * (tags.Second / tags.Time(rate))
	g := &graph{loose: src.Loose}
	opening := options{
		"ss":      seek.Decimal(),
		"t":       (off + length + tags.Second).Decimal(),
		"threads": "1",
	}
	if whole {
		opening["fflags"] = unparsed
	}
	sound := g.input(film, filmFormats, opening).Get(strconv.Itoa(src.Audio))
	sound = g.fromSeek(sound, src, seek)
	sound = g.filter(sound, "aresample", strconv.Itoa(rate), "async=1", "first_pts=0")
	sound = g.filter(sound, "aformat", "sample_fmts=s16", "channel_layouts=mono")
	sound = g.filter(sound, "atrim", "start="+off.Decimal())
	sound = g.filter(sound, "asetpts", "PTS-STARTPTS")
	sound = g.filter(sound, "apad", fmt.Sprintf("whole_len=%d", samples))
	sound = g.filter(sound, "atrim", fmt.Sprintf("end_sample=%d", samples))
	return g.compileToPipe(sound, options{"f": "s16le", "c:a": "pcm_s16le", "threads": "1"})
}
