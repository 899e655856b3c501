package ffmpeg

import (
	"reflect"
	"testing"
)

// What is tagged is said, what ffprobe says of streams besides is not; a stream of a kind
// that ffprobe does not know is a track.
func TestReadWords(t *testing.T) {
	got := readWords(`programs.program.0.streams.stream.0.index=1
programs.program.0.streams.stream.0.codec_type="subtitle"
programs.program.0.streams.stream.0.tags.title="In a program"
streams.stream.0.index=0
streams.stream.0.codec_type="video"
streams.stream.0.tags.codec_type="data"
streams.stream.1.index=1
streams.stream.1.codec_type="subtitle"
streams.stream.2.index=7
streams.stream.3.index=8
streams.stream.3.codec_type="data"
streams.stream.4.index=9
streams.stream.4.codec_type="attachment"
chapters.chapter.0.tags.title="One\nstreams.stream.0.index=3"
format.tags.title="All"`)
	want := Words{
		Said: `programs.program.0.streams.stream.0.tags.title="In a program"
streams.stream.0.tags.codec_type="data"
chapters.chapter.0.tags.title="One\nstreams.stream.0.index=3"
format.tags.title="All"`,
		Tracks: []Track{{1, "subtitle"}, {7, ""}, {8, "data"}},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
