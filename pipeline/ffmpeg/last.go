package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"

	"trenchcut/tags"
)

// pastAnyEnd ends a stretch that ffprobe reads to the film's end, in seconds behind its start:
// ffprobe 7.1 at times reads nothing of a stretch whose end is left open.
const pastAnyEnd = "%+9999999"

// LastEnd is when the last picture or sound of a stream of the film at path ends, of those
// that are stored from a time on, both from the container's start; false where there is none.
// Where the file does not say how long a picture lasts, it ends when it is shown. Told is when
// the file's tables say that the stream ends, 0 where they do not.
func (t Tool) LastEnd(ctx context.Context, path string, stream int, from tags.Time) (end tags.Time, found bool, told tags.Time, err error) {
	guards, url, err := film(path)
	if err != nil {
		return 0, false, 0, err
	}
	args := append(guards, "-v", "quiet", "-select_streams", strconv.Itoa(stream))
	if from > 0 { // else it is read whole
		args = append(args, "-read_intervals", "+"+from.Decimal()+pastAnyEnd)
	}
	out, err := t.text(ctx, t.FFprobe, append(args,
		"-show_entries", "format=start_time:stream=start_time,duration:packet=pts_time,duration_time", "-of", "json", "-i", url)...)
	if err != nil {
		return 0, false, 0, err
	}
	var r struct {
		Format struct {
			Start string `json:"start_time"`
		}
		Streams []struct {
			Start    string `json:"start_time"`
			Duration string
		}
		Packets []struct {
			PTS      string `json:"pts_time"`
			Duration string `json:"duration_time"`
		}
	}
	if err := json.Unmarshal(out, &r); err != nil {
		return 0, false, 0, fmt.Errorf("read ffprobe's list of packets: %w", err)
	}
	start := Seconds(r.Format.Start)
	for _, s := range r.Streams {
		if length := Seconds(s.Duration); length > 0 {
			told = Seconds(s.Start) + length - start
		}
	}
	for _, p := range r.Packets {
		if p.PTS != "" {
			end, found = max(end, Seconds(p.PTS)-start+Seconds(p.Duration)), true
		}
	}
	return end, found, told, nil
}
