package film

import (
	"context"
	"fmt"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// mostApart is how far the time at which a part of a film begins may lie from where the part
// before it ends: sound and pictures are stored some time apart, and the cut goes through both.
const mostApart = 2 * tags.Second

// runsOn fails where the files at paths are not parts of one stream, each going on where the
// one before it ends: ffmpeg would read them as one film, with wrong times.
func (l *Library) runsOn(ctx context.Context, paths []string) error {
	if len(paths) == 1 {
		return nil
	}
	var kind string
	var end tags.Time
	for i, path := range paths {
		name := filepath.Base(path)
		r, err := l.tool.Probe(ctx, path)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		video, _ := pick(r)
		if video == nil {
			return fmt.Errorf("%s: no picture in it", name)
		}
		if r.Format.Name != "mpegts" && r.Format.Name != "mpeg" {
			return fmt.Errorf("%s cannot be part of a film, because files of its format do not go on from one to the next; only MPEG transport and program streams do (.mts, .m2ts, .ts, .vob, .mpg): let each play name its own file, or join the files first", name)
		}
		start := ffmpeg.Seconds(r.Format.Start)
		switch this := r.Format.Name + " " + video.Codec; {
		case i == 0:
			kind = this
		case this != kind:
			return fmt.Errorf("%s is of another kind than %s, so they are not parts of one film: let each play name its own file", name, filepath.Base(paths[0]))
		case start < end-mostApart || start > end+mostApart:
			return fmt.Errorf("%s begins at %s of the camera's time, and %s before it ends at %s, so it does not go on there: put the parts in order, or let each play name its own file",
				name, start, filepath.Base(paths[i-1]), end)
		}
		end = start + ffmpeg.Seconds(r.Format.Duration)
	}
	return nil
}
