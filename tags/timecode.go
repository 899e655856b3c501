package tags

import "fmt"

// Timecode is an SMPTE ST 12-1 time address. Drop marks drop-frame counting, in which
// numbers 0 and 1 (0 to 3 at 60000/1001) of each minute but every tenth are skipped.
type Timecode struct {
	Hours, Minutes, Seconds, Frames int64
	Drop                            bool
}

// Timecode is the address of frame n at rate r, wrapped at 24 hours both ways. Where r
// has no drop-frame, drop is passed over.
func (r Rate) Timecode(n Frame, drop bool) Timecode {
	fps := r.Nominal()
	drop = drop && r.DropFrame()
	day := fps * 24 * 3600
	if drop {
		day -= fps / 15 * (24*60 - 24*6)
	}
	c := (int64(n)%day + day) % day
	if drop {
		skip := fps / 15
		tenMinutes := fps*600 - 9*skip
		minute := fps*60 - skip
		tens, rest := c/tenMinutes, c%tenMinutes
		c += tens * 9 * skip
		if rest >= fps*60 {
			c += skip * (1 + (rest-fps*60)/minute)
		}
	}
	return Timecode{c / (fps * 3600), c / (fps * 60) % 60, c / fps % 60, c % fps, drop}
}

// Frame is the number of the frame that tc names, counted from 00:00:00:00. It fails
// on an address that does not exist: a frame number the rate has not, a number that
// drop-frame skips, or drop-frame at a rate that has none.
func (r Rate) Frame(tc Timecode) (Frame, error) {
	fps := r.Nominal()
	if tc.Frames >= fps {
		return 0, fmt.Errorf("frame %d of timecode %s does not exist at %s frames a second", tc.Frames, tc, r)
	}
	n := (tc.Hours*3600+tc.Minutes*60+tc.Seconds)*fps + tc.Frames
	if !tc.Drop {
		return Frame(n), nil
	}
	if !r.DropFrame() {
		return 0, fmt.Errorf("timecode %s is drop-frame, which %s frames a second does not have", tc, r)
	}
	skip := fps / 15
	if tc.Seconds == 0 && tc.Frames < skip && tc.Minutes%10 != 0 {
		return 0, fmt.Errorf("timecode %s is one of those drop-frame skips", tc)
	}
	minutes := tc.Hours*60 + tc.Minutes
	return Frame(n - skip*(minutes-minutes/10)), nil
}

// DropFrame reports whether drop-frame counting is defined at r.
func (r Rate) DropFrame() bool { return r.Den == 1001 && (r.Num == 30000 || r.Num == 60000) }

func (tc Timecode) String() string {
	sep := ":"
	if tc.Drop {
		sep = ";"
	}
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", tc.Hours, tc.Minutes, tc.Seconds, sep, tc.Frames)
}
