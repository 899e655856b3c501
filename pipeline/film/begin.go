package film

import (
	"math"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// decodedFirst is [ffmpeg.Tool.First] of one film.
type decodedFirst func(stream, packets int, key bool) (ticks int64, found bool, err error)

// anywhere is a start before all pictures.
const anywhere = math.MinInt64

// begin returns the tick from which the pictures of a film can be decoded, and how many pictures
// with a time come before it. Start is anywhere where nothing is shown before the first key
// picture, as in most film of cameras. Otherwise the recording may begin amid a group of pictures:
// what is shown before the first key picture may need pictures that are not there, and only a
// decoder can tell.
func begin(r ffmpeg.Report, video int, decoded decodedFirst) (start int64, lost tags.Frame, err error) {
	start = anywhere
	var times []int64 // of the packets up to those that may be shown before the first key picture
	key, read := -1, 0
	for _, p := range r.Packets {
		if p.Stream != video {
			continue
		}
		if hidden(p) { // an edit list begins amid a group, and the group is there
			return anywhere, 0, nil
		}
		if key < 0 && strings.Contains(p.Flags, "K") {
			key = read
		}
		if p.PTS != nil {
			times = append(times, *p.PTS)
			if key >= 0 && start == anywhere {
				start = *p.PTS
			}
		}
		if read++; key >= 0 && read > key+mostReordered {
			break
		}
	}
	before := func(start int64) (n tags.Frame) {
		for _, t := range times {
			if t < start {
				n++
			}
		}
		return n
	}
	if before(start) == 0 {
		return anywhere, 0, nil
	}
	first, found, err := decoded(video, read, key > 0)
	switch {
	case err != nil || !found && key == 0:
		return anywhere, 0, err
	case found:
		start = first
	}
	return start, before(start), nil
}

// hidden reports whether an edit list keeps a packet for decoding only.
func hidden(p ffmpeg.Packet) bool { return strings.Contains(p.Flags, "D") }
