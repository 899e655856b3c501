package ffmpeg

import (
	"slices"
	"strings"
	"testing"

	"trenchcut/tags"
)

func TestSoundArgs(t *testing.T) {
	src := *filmSegment().Source
	args, err := SoundArgs(src, "/film/wk1 end'zone: 100%.mp4", 8*tags.Second+tags.Millisecond, 8000, 40_000, false)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "sound.args", strings.Join(args, "\n")+"\n")
	if slices.Index(args, "-format_whitelist") > slices.Index(args, "-i") {
		t.Error("what may be read is said behind the film")
	}
	src.Audio = -1
	if args, err := SoundArgs(src, "/film/mute.mp4", 0, 8000, 1, false); err == nil {
		t.Errorf("film without sound gives %q", args)
	}
}
