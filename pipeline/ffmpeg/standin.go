package ffmpeg

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// StandInArgs compiles the arguments that write the pictures of the span of a film to out as a
// movie that every browser plays: H.264 of width by height, both even, at the film's rate, so
// that frame n of the movie is the n-th of the span. The film is opened earlier than its source
// says by as much as given. The picture before stands for one that cannot be decoded; there are
// fewer frames than the span has where its first cannot.
func StandInArgs(src plan.Source, film string, span tags.Span, width, height int, earlier tags.Time, out string) ([]string, error) {
	s := plan.Segment{
		Kind: plan.Film, House: plan.House{Width: width, Height: height, Rate: src.Rate}, Source: &src, Span: span,
		Speed: plan.Speed{Num: 1, Den: 1}, Fit: plan.Fit{Width: width, Height: height}, Damaged: true,
	}
	g := newGraph(s)
	_, picture, _ := g.cut(s, film, earlier)
	picture = g.named(g.filter(g.fit(g.last(picture, s), src, s.Fit), "setsar", "1"), "yuv420p")
	return g.compile([]*stream{picture}, out, options{
		"f": "mp4", "map_metadata": "-1", "map_chapters": "-1",
		"c:v": "libx264", "preset": "ultrafast", "crf": "26", "bf": "0", "threads": "1",
		"g":                     strconv.FormatInt(max(src.Rate.Nominal()/2, 1), 10),
		"video_track_timescale": strconv.FormatInt(src.Rate.Num, 10),
		"color_range":           "tv", "colorspace": "bt709", "color_primaries": "bt709", "color_trc": "bt709",
		"fflags": "+bitexact", "flags:v": "+bitexact",
	})
}

// StandInSoundArgs compiles the arguments that write all sound of a film to out as AAC, from
// frame 0 on.
func StandInSoundArgs(src plan.Source, film, out string) ([]string, error) {
	s := plan.Segment{Source: &src, Span: tags.Span{Out: src.Frames}, House: plan.House{Rate: src.Rate}, Speed: plan.Speed{Num: 1, Den: 1}}
	seek, off := Opening(s, 0)
	g := newGraph(s)
	sound := g.input(film, filmFormats, options{"ss": seek.Decimal(), "threads": "1"}).Get(strconv.Itoa(src.Audio))
	sound = g.filter(g.fromSeek(sound, src, seek), "aresample", strconv.Itoa(plan.SampleRate), "async=1", "first_pts=0")
	sound = g.filter(sound, "aformat", "channel_layouts=stereo")
	sound = g.filter(sound, "atrim", "start="+off.Decimal())
	sound = g.filter(sound, "asetpts", "PTS-STARTPTS")
	sound = g.filter(sound, "atrim", fmt.Sprintf("end_sample=%d", s.Samples()))
	return g.compile([]*stream{sound}, out, options{"f": "mp4", "map_metadata": "-1", "map_chapters": "-1", "c:a": "aac", "b:a": "96k"})
}

// StandInJoinArgs compiles the arguments that put the movies of a list, as [ListFile] writes
// it, and the sound, where the film has any, together at out by copying them.
func StandInJoinArgs(list, sound string, rate tags.Rate, out string) ([]string, error) {
	var urls [3]string
	for i, path := range []string{list, sound, out} {
		var err error
		if urls[i], err = fileURL(path); err != nil {
			return nil, err
		}
	}
	args := []string{"-protocol_whitelist", protocols, "-f", "concat", "-safe", "0", "-i", urls[0]}
	if sound != "" {
		args = append(args, "-protocol_whitelist", protocols, "-format_whitelist", filmFormats, "-i", urls[1], "-map", "1:a")
	}
	return append(args, "-map", "0:v", "-c", "copy", "-map_metadata", "-1",
		"-video_track_timescale", strconv.FormatInt(rate.Num, 10), "-movflags", "+faststart", "-f", "mp4", urls[2]), nil
}

// standInPatience is how long ffmpeg may take over what it does at the end of a long movie,
// when it moves the movie's tables to the front and tells nothing.
const standInPatience = 15 * time.Minute

// StandIn runs ffmpeg with args of [StandInArgs] or of what goes with it and calls progress,
// where it is not nil, with the number of frames written so far. What ffmpeg says of damage is
// no error.
func (t Tool) StandIn(ctx context.Context, args []string, progress func(tags.Frame)) error {
	t.Patience = max(t.patience(), standInPatience)
	err := t.Run(ctx, args, nil, progress)
	if errors.Is(err, ErrComplained) {
		return nil
	}
	return err
}
