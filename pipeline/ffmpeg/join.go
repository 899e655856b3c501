package ffmpeg

import (
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Chapter is a named stretch of a reel, in frames of the house rate.
type Chapter struct {
	Title string
	Span  tags.Span
}

// Join is where the parts of a reel lie on the machine that joins them.
type Join struct {
	List     string // the segments, as ListFile writes them
	Metadata string // title and chapters, as MetadataFile writes them
	Sound    bool   // raw sound is fed to standard input: 16 bit, stereo, 48 kHz
	House    plan.House
	Out      string
}

// JoinArgs compiles the arguments that join a reel: pictures are copied, the sound is
// encoded once. They take no graph, so they are written out.
func JoinArgs(j Join) ([]string, error) {
	list, err := fileURL(j.List)
	if err != nil {
		return nil, err
	}
	metadata, err := fileURL(j.Metadata)
	if err != nil {
		return nil, err
	}
	out, err := fileURL(j.Out)
	if err != nil {
		return nil, err
	}
	args := []string{
		"-protocol_whitelist", protocols, "-f", "concat", "-safe", "0", "-i", list,
		"-protocol_whitelist", protocols, "-f", "ffmetadata", "-i", metadata,
	}
	if j.Sound {
		args = append(args, "-f", "s16le", "-ar", strconv.Itoa(plan.SampleRate), "-ac", "2", "-i", "pipe:0")
	}
	args = append(args, "-map", "0:v", "-c:v", "copy")
	if j.Sound {
		args = append(args, "-map", "2:a", "-c:a", "aac", "-b:a", "160k")
	}
	return append(args,
		"-map_metadata", "1", "-map_chapters", "1",
		"-video_track_timescale", strconv.FormatInt(j.House.Rate.Num, 10),
		"-fflags", "+bitexact", "-flags:a", "+bitexact",
		"-movflags", "+faststart", "-f", "mp4", out), nil
}

// ListFile writes the list of segment movies for the join, which will lie in folder. They
// are named from there, so that only keys stand in it and nothing needs quoting. Each
// one's length is allotted from the reel's running count of frames, so that rounding to
// ffmpeg's microseconds never adds up.
func ListFile(folder string, paths []string, frames []tags.Frame, rate tags.Rate) (string, error) {
	var b strings.Builder
	b.WriteString("ffconcat version 1.0\n")
	var n tags.Frame
	for i, path := range paths {
		name, err := filepath.Rel(folder, path)
		if err != nil {
			return "", fmt.Errorf("list the segments: %w", err)
		}
		us := micros(rate, n+frames[i]) - micros(rate, n)
		fmt.Fprintf(&b, "file '%s'\nduration %d.%06d\n", filepath.ToSlash(name), us/1_000_000, us%1_000_000)
		n += frames[i]
	}
	return b.String(), nil
}

// micros is when frame n starts, in microseconds to the nearest.
func micros(rate tags.Rate, n tags.Frame) int64 {
	return (int64(n)*rate.Den*1_000_000 + rate.Num/2) / rate.Num
}

// MetadataFile writes title and chapters in ffmpeg's metadata format, which see.
func MetadataFile(title string, chapters []Chapter, rate tags.Rate) string {
	var b strings.Builder
	fmt.Fprintf(&b, ";FFMETADATA1\ntitle=%s\n", escapeMetadata(title))
	for _, c := range chapters {
		fmt.Fprintf(&b, "[CHAPTER]\nTIMEBASE=%d/%d\nSTART=%d\nEND=%d\ntitle=%s\n", rate.Den, rate.Num, c.Span.In, c.Span.Out, escapeMetadata(c.Title))
	}
	return b.String()
}

var metadataEscapes = strings.NewReplacer(`\`, `\\`, `=`, `\=`, `;`, `\;`, `#`, `\#`, "\n", "\\\n")

func escapeMetadata(s string) string { return metadataEscapes.Replace(s) }
