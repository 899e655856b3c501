package tags

import "testing"

var (
	ntsc30 = Rate{30000, 1001}
	ntsc60 = Rate{60000, 1001}
)

// Pairs of frame number and drop-frame address by the counting rule of SMPTE ST 12-1.
func TestTimecodeDropFrame(t *testing.T) {
	for _, c := range []struct {
		rate Rate
		n    Frame
		want string
	}{
		{ntsc30, 0, "00:00:00;00"},
		{ntsc30, 1799, "00:00:59;29"},
		{ntsc30, 1800, "00:01:00;02"},
		{ntsc30, 17981, "00:09:59;29"},
		{ntsc30, 17982, "00:10:00;00"},
		{ntsc30, 107892, "01:00:00;00"},
		{ntsc30, 2589407, "23:59:59;29"},
		{ntsc60, 3599, "00:00:59;59"},
		{ntsc60, 3600, "00:01:00;04"},
		{ntsc60, 35964, "00:10:00;00"},
		{ntsc60, 215784, "01:00:00;00"},
	} {
		tc := c.rate.Timecode(c.n, true)
		if tc.String() != c.want {
			t.Errorf("frame %d at %s is %s, want %s", c.n, c.rate, tc, c.want)
		}
		if n, err := c.rate.Frame(tc); err != nil || n != c.n {
			t.Errorf("%s at %s is frame %d, %v; want %d", tc, c.rate, n, err, c.n)
		}
	}
}

// Every frame of a day has an address of its own, and addresses run on by one.
func TestTimecodeRoundTrip(t *testing.T) {
	for _, c := range []struct {
		rate Rate
		drop bool
		day  Frame // frames of 24 hours of addresses
	}{
		// 24 h less two (four) numbers in each minute but every tenth: SMPTE ST 12-1.
		{ntsc30, true, 2_592_000 - 2*(1440-144)},
		{ntsc60, true, 5_184_000 - 4*(1440-144)},
		{ntsc30, false, 2_592_000},
		{ntsc60, false, 5_184_000},
		{Rate{25, 1}, false, 2_160_000},
		{Rate{24000, 1001}, false, 2_073_600},
	} {
		var last Timecode
		for n := Frame(0); n < c.day; n++ {
			tc := c.rate.Timecode(n, c.drop)
			if back, err := c.rate.Frame(tc); err != nil || back != n {
				t.Fatalf("rate %s drop %t: frame %d is %s, which is frame %d, %v", c.rate, c.drop, n, tc, back, err)
			}
			if n > 0 && !follows(last, tc, c.rate.Nominal(), c.drop) {
				t.Fatalf("rate %s drop %t: %s follows %s", c.rate, c.drop, tc, last)
			}
			last = tc
		}
		first := Timecode{Drop: c.drop}
		for _, n := range []Frame{c.day, -c.day, 3 * c.day} {
			if got := c.rate.Timecode(n, c.drop); got != first {
				t.Errorf("rate %s drop %t: frame %d is %s, want %s", c.rate, c.drop, n, got, first)
			}
		}
		if got := c.rate.Timecode(-1, c.drop); got != last {
			t.Errorf("rate %s drop %t: frame -1 is %s, want %s", c.rate, c.drop, got, last)
		}
	}
}

// follows counts as a clock does: one frame on, with the carries, over skipped numbers.
func follows(a, b Timecode, fps int64, drop bool) bool {
	a.Frames++
	if a.Frames == fps {
		a.Frames, a.Seconds = 0, a.Seconds+1
	}
	if a.Seconds == 60 {
		a.Seconds, a.Minutes = 0, a.Minutes+1
		if drop && a.Minutes%10 != 0 {
			a.Frames = map[int64]int64{30: 2, 60: 4}[fps]
		}
	}
	if a.Minutes == 60 {
		a.Minutes, a.Hours = 0, a.Hours+1
	}
	return a == b
}

func TestTimecodeRefusesAddressesThatDoNotExist(t *testing.T) {
	for _, c := range []struct {
		rate Rate
		text string
		want string
	}{
		{ntsc30, "00:01:00;00", "timecode 00:01:00;00 is one of those drop-frame skips"},
		{ntsc30, "12:59:00;01", "timecode 12:59:00;01 is one of those drop-frame skips"},
		{ntsc60, "00:01:00;03", "timecode 00:01:00;03 is one of those drop-frame skips"},
		{ntsc30, "00:00:00:30", "frame 30 of timecode 00:00:00:30 does not exist at 30000/1001 frames a second"},
		{Rate{25, 1}, "01:00:00:25", "frame 25 of timecode 01:00:00:25 does not exist at 25 frames a second"},
		{Rate{25, 1}, "01:00:00;12", "timecode 01:00:00;12 is drop-frame, which 25 frames a second does not have"},
		{Rate{24000, 1001}, "01:00:00;12", "timecode 01:00:00;12 is drop-frame, which 24000/1001 frames a second does not have"},
		{Rate{30, 1}, "01:00:00;12", "timecode 01:00:00;12 is drop-frame, which 30 frames a second does not have"},
	} {
		at, err := ParseInstant(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.rate.Frame(at.Timecode()); err == nil || err.Error() != c.want {
			t.Errorf("%s at %s: error %v, want %s", c.text, c.rate, err, c.want)
		}
	}
	for _, text := range []string{"00:10:00;00", "00:01:00;02", "00:01:01;00"} {
		at, err := ParseInstant(text)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ntsc30.Frame(at.Timecode()); err != nil {
			t.Errorf("%s at 30000/1001: %v", text, err)
		}
	}
}

func TestTimecodeWithoutDropFrame(t *testing.T) {
	if got := (Rate{25, 1}).Timecode(1500, true); got != (Timecode{Minutes: 1}) {
		t.Errorf("frame 1500 at 25 is %s, want 00:01:00:00", got)
	}
}
