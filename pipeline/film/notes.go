package film

import (
	"fmt"
	"regexp"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// deep is the names of pixel formats with more than 8 bits a colour, as ffmpeg has them.
var deep = regexp.MustCompile(`p(9|1[0246])(le|be)?$`)

// notes says what is odd about a film and what is done about it, in words for who filmed
// it; none for film as most cameras make it.
func notes(r ffmpeg.Report, s plan.Source) []string {
	var list []string
	note := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	pictures, sounds := 0, 0
	var video ffmpeg.Stream
	for _, stream := range r.Streams {
		switch {
		case stream.Index == s.Video:
			video = stream
			pictures++
		case stream.Type == "video" && stream.Disposition.Picture == 0:
			pictures++
		case stream.Type == "audio":
			sounds++
		}
	}
	if s.Variable {
		note("its rate varies: counted as %s frames a second, each picture stays until the next", s.Rate)
	}
	if s.Gaps {
		note("pictures are missing here and there: the one before stays in their place")
	}
	if s.Interlaced {
		note("interlaced: the two fields of a frame become one picture")
	}
	switch {
	case s.Colour.HDR():
		note("high dynamic range: brought down to what a common screen shows")
	case deep.MatchString(video.Pixels):
		note("more than 8 bits a colour: a reel has 8")
	}
	if turn(video) != 0 {
		note("filmed turned: shown upright")
	}
	if width := square(video); width != video.Width {
		note("its pixels are not square: shown %d wide, not %d", width, video.Width)
	}
	switch {
	case sounds == 0:
		note("no sound: silence in a reel")
	case s.Audio < 0:
		note("a sound track with nothing in it: silence in a reel")
	}
	if sounds > 1 {
		note("%d sound tracks: the first is heard", sounds)
	}
	if pictures > 1 {
		note("%d pictures in one file: the largest that moves throughout is shown", pictures)
	}
	if start := ffmpeg.Seconds(r.Format.Start); start > 2*tags.Second {
		note("its own clock starts at %s: times in a tag file count from there", start)
	}
	if claimed, end := ffmpeg.Seconds(r.Format.Duration), s.Clock().At(s.Frames); video.Duration == "" && claimed > end+tags.Second {
		note("its header says that it lasts %s, but its pictures end at %s: recording or copying it may have been cut off", claimed, end)
	}
	if s.Lost > 0 {
		note("it begins amid a group of pictures: the first %d pictures cannot be decoded and are left out", s.Lost)
	}
	if s.First >= s.Rate.Duration(1) {
		note("its first picture comes %s after its start, from which times in a tag file count: earlier ones mean that picture", s.First)
	}
	return list
}
