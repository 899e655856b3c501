package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// KeysAround is where film can be parted around span, in times from the container's start:
// start is when the keyframe at or before it is shown, end when the first one at or after
// its Out is decoded, or past the end of the film.
func (t Tool) KeysAround(ctx context.Context, src plan.Source, film string, span tags.Span) (start, end tags.Time, err error) {
	url, err := fileURL(film)
	if err != nil {
		return 0, 0, err
	}
	in, out := src.Clock().At(span.In), src.Clock().At(span.Out)
	text, err := t.output(ctx, t.FFprobe, "-v", "error", "-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
		"-select_streams", strconv.Itoa(src.Video), "-read_intervals", fmt.Sprintf("%s%%+%s", in.Decimal(), (out-in+mostBetweenKeys).Decimal()),
		"-show_entries", "format=start_time:packet=pts,dts,flags", "-of", "json", "-i", url)
	if err != nil {
		return 0, 0, err
	}
	var report struct {
		Format struct {
			Start json.Number `json:"start_time"`
		}
		Packets []struct {
			PTS, DTS *int64
			Flags    string
		}
	}
	if err := json.Unmarshal(text, &report); err != nil {
		return 0, 0, fmt.Errorf("read ffprobe's report: %w", err)
	}
	first, err := report.Format.Start.Float64()
	if err != nil {
		first = 0
	}
	since := func(ticks int64) tags.Time {
		return src.Ticks.Duration(tags.Frame(ticks)) - tags.Time(first*float64(tags.Second))
	}
	start, end = in, src.Clock().At(src.Frames)+tags.Second
	for _, p := range report.Packets {
		if p.PTS == nil || p.DTS == nil || !strings.HasPrefix(p.Flags, "K") {
			continue
		}
		at := since(*p.PTS)
		if at <= in+tags.Millisecond {
			start = at
		}
		if at >= out-tags.Millisecond {
			return start, since(*p.DTS), nil
		}
	}
	return start, end, nil
}

// mostBetweenKeys is how far apart keyframes are looked for.
const mostBetweenKeys = 20 * tags.Second

// CopyArgs compiles the arguments that copy the film of s to out without coding it anew,
// until end. A copy starts at the keyframe before the span, so that out holds frames before
// it too.
func CopyArgs(s plan.Segment, film string, end tags.Time, out string) ([]string, error) {
	in, err := fileURL(film)
	if err != nil {
		return nil, err
	}
	to, err := fileURL(out)
	if err != nil {
		return nil, err
	}
	src := s.Source
	// A tick late, or a keyframe that is the first frame itself is passed by.
	seek := src.Clock().At(s.Span.In) + tags.Millisecond
	args := []string{
		"-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
		"-ss", seek.Decimal(), "-t", (end - seek).Decimal(), "-i", in,
		"-map", "0:" + strconv.Itoa(src.Video), "-c:v", "copy",
	}
	if src.Audio >= 0 {
		args = append(args, "-map", "0:"+strconv.Itoa(src.Audio), "-c:a", "pcm_s16le", "-ar", strconv.Itoa(plan.SampleRate), "-ac", "2")
	}
	return append(args, "-avoid_negative_ts", "make_zero", "-map_metadata", "-1", "-map_chapters", "-1", "-f", "mov", to), nil
}

// QuickJoinArgs compiles the arguments that join copied film: pictures are copied, the
// sound, where there is any, is encoded once, and labels are a track of text.
func QuickJoinArgs(j Join, labels string) ([]string, error) {
	var urls [4]string
	for i, path := range []string{j.List, j.Metadata, labels, j.Out} {
		var err error
		if urls[i], err = fileURL(path); err != nil {
			return nil, err
		}
	}
	args := []string{
		"-protocol_whitelist", protocols, "-f", "concat", "-safe", "0", "-i", urls[0],
		"-protocol_whitelist", protocols, "-f", "ffmetadata", "-i", urls[1],
		"-protocol_whitelist", protocols, "-f", "srt", "-i", urls[2],
		"-map", "0:v", "-c:v", "copy", "-map", "2:s", "-c:s", "mov_text",
	}
	if j.Sound {
		args = append(args, "-map", "0:a", "-c:a", "aac", "-b:a", "160k")
	}
	return append(args, "-map_metadata", "1", "-map_chapters", "1", "-movflags", "+faststart", "-f", "mp4", urls[3]), nil
}
