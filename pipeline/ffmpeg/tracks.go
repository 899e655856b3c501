package ffmpeg

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Words is where a film holds words.
type Words struct {
	Said   string  // what it says of itself: its title, its chapters, every tag, a line each
	Tracks []Track // those that are neither picture nor sound nor attached
}

// Track is one stream of a film.
type Track struct {
	index int
	kind  string // as ffprobe names it
}

// ofStream matches what ffprobe says in a line of a stream besides its tags. Streams that
// belong to a program are listed in it once more.
var ofStream = regexp.MustCompile(`^(programs\.program\.\d+\.)?streams\.stream\.\d+\.(index|codec_type)="?(.*?)"?\n?$`)

// Words asks ffprobe where a film holds words.
func (t Tool) Words(ctx context.Context, path string) (Words, error) {
	url, err := fileURL(path)
	if err != nil {
		return Words{}, err
	}
	out, err := t.text(ctx, t.FFprobe, "-v", "error", "-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
		"-show_entries", "format_tags:stream=index,codec_type:stream_tags:chapter_tags", "-of", "flat", "-i", url)
	return readWords(string(out)), err
}

func readWords(report string) Words {
	var w Words
	var said strings.Builder
	for line := range strings.Lines(report) {
		m := ofStream.FindStringSubmatch(line)
		switch {
		case m == nil:
			said.WriteString(line)
		case m[1] != "":
		case m[2] == "index": // said first, and of every stream
			index, _ := strconv.Atoi(m[3])
			w.Tracks = append(w.Tracks, Track{index: index})
		case len(w.Tracks) > 0:
			w.Tracks[len(w.Tracks)-1].kind = m[3]
		}
	}
	w.Said = said.String()
	w.Tracks = slices.DeleteFunc(w.Tracks, func(t Track) bool {
		return t.kind == "video" || t.kind == "audio" || t.kind == "attachment"
	})
	return w
}

// Track is what a track of the film at path holds: subtitles as text, and data as it is.
func (t Tool) Track(ctx context.Context, path string, track Track) ([]byte, error) {
	url, err := fileURL(path)
	if err != nil {
		return nil, err
	}
	as := []string{"-c", "copy", "-f", "data"}
	if track.kind == "subtitle" {
		as = []string{"-c:s", "srt", "-f", "srt"}
	}
	args := []string{
		"-hide_banner", "-v", "error", "-nostdin", "-protocol_whitelist", protocols, "-format_whitelist", filmFormats,
		"-i", url, "-map", "0:" + strconv.Itoa(track.index),
	}
	return t.output(ctx, t.FFmpeg, append(append(args, as...), "pipe:1")...)
}
