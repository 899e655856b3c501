package ffmpeg

import (
	"context"
	"strconv"

	"trenchcut/tags"
)

// pastAnyEnd ends a stretch that ffprobe reads to the film's end, in seconds behind its start:
// ffprobe 7.1 at times reads nothing of a stretch whose end is left open.
const pastAnyEnd = "%+9999999"

// Ending is how a stream of a film ends. Times are from the container's start.
type Ending struct {
	At    tags.Time // when its last picture or sound ends, or is shown where the file does not say how long it lasts
	Found bool      // there is one
	Told  tags.Time // when the file's tables say that it ends; 0 where they do not
}

// Ending is how a stream of the film at path ends, of what is stored from a time on.
func (t Tool) Ending(ctx context.Context, path string, stream int, from tags.Time) (Ending, error) {
	args := []string{"-v", "quiet", "-select_streams", strconv.Itoa(stream)}
	if from > 0 { // else it is read whole
		args = append(args, "-read_intervals", "+"+from.Decimal()+pastAnyEnd)
	}
	args = append(args, "-show_entries", "format=start_time:stream=start_time,duration:packet=pts_time,duration_time")
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
	if err := t.ask(ctx, path, &r, args...); err != nil {
		return Ending{}, err
	}
	var end Ending
	start := Seconds(r.Format.Start)
	for _, s := range r.Streams {
		if length := Seconds(s.Duration); length > 0 {
			end.Told = Seconds(s.Start) + length - start
		}
	}
	for _, p := range r.Packets {
		if p.PTS != "" {
			end.At, end.Found = max(end.At, Seconds(p.PTS)-start+Seconds(p.Duration)), true
		}
	}
	return end, nil
}
