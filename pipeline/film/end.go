package film

import (
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// lastPacket is when the last packet of a stream that is stored behind a time ends, both from
// the container's start; false where there is none.
type lastPacket func(stream int, from tags.Time) (end tags.Time, found bool, err error)

// tailLength is how far before the end that a header claims the last picture is looked for.
const tailLength = 10 * tags.Second

// end is when the last picture of a film ends, from the container's start. Where no table says
// it, only the pictures can: the header of FLV and Matroska may be older than the file's end,
// of a recording that was cut off, or may not say it at all.
func end(r ffmpeg.Report, v ffmpeg.Stream, last lastPacket) (tags.Time, error) {
	if v.Duration != "" {
		return ffmpeg.Seconds(v.Duration) + ffmpeg.Seconds(v.Start) - ffmpeg.Seconds(r.Format.Start), nil
	}
	claimed := ffmpeg.Seconds(r.Format.Duration)
	if strings.HasPrefix(r.Format.Name, "mpeg") {
		return claimed, nil // as ffmpeg found it in the last packets
	}
	from := max(claimed-tailLength, 0)
	end, found, err := last(v.Index, from)
	if err == nil && !found && from > 0 {
		end, _, err = last(v.Index, 0)
	}
	return end, err
}
