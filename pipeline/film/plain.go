package film

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
)

// plain reports whether every browser plays a film by itself, such that it shows frame n from
// n/rate of its own time on: MP4 or QuickTime that holds H.264 of 8 bits and AAC, each frame
// in its turn from the start to the end, with no edit that hides any.
func plain(r ffmpeg.Report, s plan.Source) bool {
	video, pictures, sounds := ffmpeg.Stream{}, 0, true
	for _, stream := range r.Streams {
		switch {
		case stream.Index == s.Video:
			video = stream
			pictures++
		case stream.Type == "video":
			pictures++
		case stream.Type == "audio":
			sounds = sounds && stream.Codec == "aac"
		}
	}
	count, err := strconv.ParseInt(video.Frames, 10, 64)
	// A frame late or early would be shown as its neighbour.
	late := math.Abs(ffmpeg.Seconds(video.Start).Seconds()) >= s.Rate.Duration(1).Seconds()/4
	even := s.Rate.Duration(1).Seconds()*float64(count) - ffmpeg.Seconds(video.Duration).Seconds()
	return strings.HasPrefix(r.Format.Name, "mov,") && video.Codec == "h264" && slices.Contains([]string{"yuv420p", "yuvj420p"}, video.Pixels) &&
		pictures == 1 && sounds && !s.Variable && !s.Gaps && !s.Interlaced && s.Lost == 0 && !s.Colour.HDR() && !late &&
		err == nil && math.Abs(even) < s.Rate.Duration(1).Seconds()/2 && square(video) == video.Width && turn(video) == 0 &&
		!slices.ContainsFunc(r.Packets, func(p ffmpeg.Packet) bool { return p.Stream == s.Video && hidden(p) })
}
