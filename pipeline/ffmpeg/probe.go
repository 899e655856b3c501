package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"

	"trenchcut/tags"
)

// Report is what ffprobe says of a film file; numbers are as ffprobe writes them.
type Report struct {
	Format struct {
		Name     string            `json:"format_name"`
		Start    string            `json:"start_time"`
		Duration string            `json:"duration"`
		Tags     map[string]string `json:"tags"`
	} `json:"format"`
	Streams []Stream `json:"streams"`
	Packets []Packet `json:"packets"`
}

// Stream is one stream of a Report.
type Stream struct {
	Index       int               `json:"index"`
	Type        string            `json:"codec_type"`
	Codec       string            `json:"codec_name"`
	Tag         string            `json:"codec_tag_string"`
	Width       int               `json:"width"`
	Height      int               `json:"height"`
	Aspect      string            `json:"sample_aspect_ratio"`
	Pixels      string            `json:"pix_fmt"`
	FieldOrder  string            `json:"field_order"`
	Rate        string            `json:"r_frame_rate"`
	Average     string            `json:"avg_frame_rate"`
	TimeBase    string            `json:"time_base"`
	Start       string            `json:"start_time"`
	Duration    string            `json:"duration"`
	Frames      string            `json:"nb_frames"`
	SampleRate  string            `json:"sample_rate"`
	Channels    int               `json:"channels"`
	Matrix      string            `json:"color_space"`
	Range       string            `json:"color_range"`
	Transfer    string            `json:"color_transfer"`
	Tags        map[string]string `json:"tags"`
	Disposition struct {
		Picture int `json:"attached_pic"`
		Default int `json:"default"`
	} `json:"disposition"`
	SideData []struct {
		Rotation float64 `json:"rotation"`
	} `json:"side_data_list"`
}

// MostPackets is how many packets a Report has at most, of all streams together.
const MostPackets = 1500

// Packet is one of the first packets of a Report's streams.
type Packet struct {
	Stream int    `json:"stream_index"`
	PTS    *int64 `json:"pts"` // nil where the file does not say
	Flags  string `json:"flags"`
}

// Probe asks ffprobe what path is, with the first packets of its streams.
func (t Tool) Probe(ctx context.Context, path string) (Report, error) {
	var r Report
	err := t.ask(ctx, path, &r, "-v", "error", "-read_intervals", fmt.Sprintf("%%+#%d", MostPackets),
		"-show_format", "-show_streams", "-show_entries", "packet=stream_index,pts,flags")
	return r, err
}

// ask reads into into, from JSON, what ffprobe says of the film at path; args say what it shows.
func (t Tool) ask(ctx context.Context, path string, into any, args ...string) error {
	guards, url, err := film(path)
	if err != nil {
		return err
	}
	out, err := t.text(ctx, t.FFprobe, slices.Concat(guards, args, []string{"-of", "json", "-i", url})...)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(out, into); err != nil {
		return fmt.Errorf("read ffprobe's report: %w", err)
	}
	return nil
}

// Seconds is a time of a Report; 0 where the report does not say.
func Seconds(s string) tags.Time {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return 0
	}
	return tags.Time(math.Round(f * float64(tags.Second)))
}
