package ffmpeg

import (
	"fmt"
	"runtime"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
)

// What reels, stills and searches through film are made with. Builds of ffmpeg that come with
// other programs often have little more than those programs need.
var (
	neededEncoders = []string{plan.X264, "aac", "pcm_s16le", "rawvideo"}
	neededMuxers   = []string{"mov", "mp4", "rawvideo", "s16le", "hash", "framecrc", "null"}
	neededFilters  = []string{
		"aformat", "afade", "anullsrc", "apad", "aresample", "asetpts", "atrim", "bwdif", "crop", "extractplanes", "fade",
		"format", "fps", "loop", "null", "overlay", "pad", "scale", "select", "setparams", "setpts", "setsar", "settb", "split", "tpad",
		"trim", "vstack",
	}
)

// Whole reports what an ffmpeg with these encoders, muxers and filters lacks that every reel
// needs, by name; nil where it lacks none of it.
func Whole(encoders, muxers, filters []string) error {
	var lacks []string
	for _, kind := range []struct {
		name         string
		needed, have []string
	}{{"encoder", neededEncoders, encoders}, {"format", neededMuxers, muxers}, {"filter", neededFilters, filters}} {
		var absent []string
		for _, name := range kind.needed {
			if !slices.Contains(kind.have, name) {
				absent = append(absent, name)
			}
		}
		switch {
		case len(absent) == 1:
			lacks = append(lacks, kind.name+" "+absent[0])
		case absent != nil:
			lacks = append(lacks, kind.name+"s "+strings.Join(absent, ", "))
		}
	}
	if lacks == nil {
		return nil
	}
	return fmt.Errorf("this ffmpeg lacks the %s: reels need a whole one; %s", strings.Join(lacks, ", the "), advice(runtime.GOOS))
}
