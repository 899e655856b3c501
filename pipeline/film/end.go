package film

import (
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// ending is how a stream ends, of what is stored behind a time from the container's start.
type ending func(stream int, from tags.Time) (ffmpeg.Ending, error)

// tailLength is how far before the end that a header claims the last picture is looked for.
const tailLength = 10 * tags.Second

// end is when the last picture of a film ends, from the container's start. Where no table says
// it, only the pictures can: the header of FLV and Matroska may be older than the file's end,
// of a recording that was cut off, or may not say it at all.
func end(r ffmpeg.Report, v ffmpeg.Stream, last ending) (tags.Time, error) {
	if v.Duration != "" {
		return ffmpeg.Seconds(v.Duration) + ffmpeg.Seconds(v.Start) - ffmpeg.Seconds(r.Format.Start), nil
	}
	claimed := ffmpeg.Seconds(r.Format.Duration)
	if strings.HasPrefix(r.Format.Name, "mpeg") {
		return claimed, nil // as ffmpeg found it in the last packets
	}
	from := max(claimed-tailLength, 0)
	end, err := last(v.Index, from)
	if err == nil && !end.Found && from > 0 {
		end, err = last(v.Index, 0)
	}
	return end.At, err
}
