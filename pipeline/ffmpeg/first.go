package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
)

// First is when the first picture of a stream of the film at path is shown that a decoder
// gives, in the stream's ticks, or where key is set the first key picture; false where there
// is none among the stream's first packets. What a decoder complains of is no error.
func (t Tool) First(ctx context.Context, path string, stream, packets int, key bool) (ticks int64, found bool, err error) {
	guards, url, err := film(path)
	if err != nil {
		return 0, false, err
	}
	out, err := t.text(ctx, t.FFprobe, append(guards, "-v", "quiet", "-threads", "1",
		"-select_streams", strconv.Itoa(stream), "-read_intervals", fmt.Sprintf("%%+#%d", packets),
		"-show_entries", "frame=key_frame,pts", "-of", "json", "-i", url)...)
	if err != nil {
		return 0, false, err
	}
	var r struct {
		Frames []struct {
			Key int    `json:"key_frame"`
			PTS *int64 `json:"pts"`
		} `json:"frames"`
	}
	if err := json.Unmarshal(out, &r); err != nil {
		return 0, false, fmt.Errorf("read ffprobe's list of pictures: %w", err)
	}
	for _, f := range r.Frames {
		if f.PTS != nil && (f.Key == 1 || !key) {
			return *f.PTS, true, nil
		}
	}
	return 0, false, nil
}
