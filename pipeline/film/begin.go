package film

import (
	"math"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// decodedFirst is when the first picture of a stream is shown that can be decoded, in the
// stream's ticks, or where key is set the first key picture; false where the stream's first
// packets give none.
type decodedFirst func(stream, packets int, key bool) (ticks int64, found bool, err error)

// anywhere is a start before all pictures.
const anywhere = math.MinInt64

// begin is from which tick on the pictures of a film can be decoded, and how many timed ones
// come before. It is anywhere where the first packet holds a key picture and nothing is shown
// before that: so most cameras write film. Else the recording may begin amid a group of
// pictures, and what is shown before the first key picture, though it may be stored behind
// it, may need pictures that are not there. A decoder tells whether it does.
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
