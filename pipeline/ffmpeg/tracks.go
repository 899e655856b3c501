package ffmpeg

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
)

// OtherTracks is what the tracks of a film hold that are neither picture nor sound:
// subtitles as text, and data as it is. Unread is how many of them gave nothing.
func (t Tool) OtherTracks(ctx context.Context, path string) (tracks [][]byte, unread int, err error) {
	url, err := fileURL(path)
	if err != nil {
		return nil, 0, err
	}
	out, err := t.output(ctx, t.FFprobe, "-v", "error", "-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
		"-show_entries", "stream=index,codec_type,codec_name", "-of", "json", "-i", url)
	if err != nil {
		return nil, 0, err
	}
	var r Report
	if err := json.Unmarshal(out, &r); err != nil {
		return nil, 0, fmt.Errorf("read ffprobe's report: %w", err)
	}
	for _, s := range r.Streams {
		var as []string
		switch s.Type {
		case "video", "audio", "attachment":
			continue
		case "subtitle":
			as = []string{"-c:s", "srt", "-f", "srt"}
		default:
			as = []string{"-c", "copy", "-f", "data"}
		}
		args := []string{
			"-hide_banner", "-v", "error", "-nostdin", "-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
			"-i", url, "-map", "0:" + strconv.Itoa(s.Index),
		}
		text, err := t.output(ctx, t.FFmpeg, append(append(args, as...), "pipe:1")...)
		switch {
		case ctx.Err() != nil:
			return tracks, unread, context.Cause(ctx)
		case err != nil:
			unread++
		default:
			tracks = append(tracks, text)
		}
	}
	return tracks, unread, nil
}
