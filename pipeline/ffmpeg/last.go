package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"trenchcut/tags"
)

// LastEnd is when the last picture or sound of a stream of the film at path ends, of those
// that are stored from a time on, both from the container's start; false where there is none.
// Where the file does not say how long a picture lasts, it ends when it is shown.
func (t Tool) LastEnd(ctx context.Context, path string, stream int, from tags.Time) (end tags.Time, found bool, err error) {
	guards, url, err := film(path)
	if err != nil {
		return 0, false, err
	}
	args := append(guards, "-v", "quiet", "-select_streams", strconv.Itoa(stream))
	if from > 0 { // else it is read whole: ffprobe 7.1 at times reads nothing where it is told to by "%"
		args = append(args, "-read_intervals", "+"+from.Decimal()+"%")
	}
	out, err := t.output(ctx, t.FFprobe, append(args,
		"-show_entries", "format=start_time:packet=pts_time,duration_time", "-of", "json", "-i", url)...)
	if err != nil {
		return 0, false, err
	}
	var r struct {
		Format struct {
			Start json.Number `json:"start_time"`
		}
		Packets []struct {
			PTS      json.Number `json:"pts_time"`
			Duration json.Number `json:"duration_time"`
		}
	}
	if err := json.Unmarshal(out, &r); err != nil {
		return 0, false, fmt.Errorf("read ffprobe's list of packets: %w", err)
	}
	start, _ := r.Format.Start.Float64() // 0 where it is not known
	for _, p := range r.Packets {
		at, err := p.PTS.Float64()
		if err != nil {
			continue
		}
		lasts, _ := p.Duration.Float64()
		end, found = max(end, tags.Time(math.Round((at-start+lasts)*float64(tags.Second)))), true
	}
	return end, found, nil
}
