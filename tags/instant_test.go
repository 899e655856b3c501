package tags

import (
	"errors"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

func TestParseInstant(t *testing.T) {
	const ms = int64(Millisecond)
	for _, c := range []struct {
		text string
		want Instant
	}{
		{"0:08:02.100", Instant{N: 482_100 * ms}},
		{"00:08:02.100", Instant{N: 482_100 * ms}},
		{"1:30", Instant{N: 90_000 * ms}},
		{"12:31", Instant{N: 751_000 * ms}},
		{"12:31.2", Instant{N: 751_200 * ms}},
		{"99:59", Instant{N: 5_999_000 * ms}},
		{"0:00", Instant{}},
		{"19:26:48", Instant{N: 70_008_000 * ms}},
		{"19:26:48.04", Instant{N: 70_008_040 * ms}},
		{"95:59:59", Instant{N: 345_599_000 * ms}},
		{"12.4s", Instant{N: 12_400 * ms}},
		{"0s", Instant{}},
		{"090s", Instant{N: 90_000 * ms}},
		{"1.000000001s", Instant{N: int64(Second)}}, // a nanosecond is less than a flick
		{"0.999999999s", Instant{N: int64(Second) - 1}},
		{"f1234", Instant{N: 1234, Unit: FrameCount}},
		{"f0", Instant{Unit: FrameCount}},
		{"19:26:48:04", Timecode{19, 26, 48, 4, false}.instant()},
		{"19:26:48;04", Timecode{19, 26, 48, 4, true}.instant()},
		{"00:00:01:119", Timecode{0, 0, 1, 119, false}.instant()},
		{"+2.64s", Instant{N: 2640 * ms, From: FromSnap}},
		{"-0.20s", Instant{N: -200 * ms, From: FromSnap}},
		{"+0:01.5", Instant{N: 1500 * ms, From: FromSnap}},
		{"-1:00:00", Instant{N: -3_600_000 * ms, From: FromSnap}},
		{"+f12", Instant{N: 12, Unit: FrameCount, From: FromSnap}},
		{"-f3", Instant{N: -3, Unit: FrameCount, From: FromSnap}},
	} {
		got, err := ParseInstant(c.text)
		if err != nil || got != c.want {
			t.Errorf("ParseInstant(%q) = %+v, %v; want %+v", c.text, got, err, c.want)
		}
		if want := c.want.Unit != Flicks; got.NeedsRate() != want {
			t.Errorf("%q needs its film's rate: %t, want %t", c.text, got.NeedsRate(), want)
		}
	}
	for text, want := range map[string]string{
		"":             "is not a time",
		"12":           `"12" has no unit: want 12s for seconds or f12 for a frame`,
		"12.4":         `"12.4" has no unit: want 12.4s for seconds`,
		"+12":          `"+12" has no unit: want +12s for seconds or +f12 for frames`,
		"s":            "is not a time",
		".5s":          "is not a time",
		"12.s":         "is not a time",
		"1e3s":         "is not a time",
		"f":            "is not a time",
		"f-1":          "is not a time",
		"f1.5":         "is not a time",
		"f1234567890":  "is not a time",
		"++1s":         "is not a time",
		"+-1s":         "is not a time",
		"+ 1s":         "is not a time",
		" 1s":          "is not a time",
		"1s\n":         "is not a time",
		"+19:26:48:04": "is not a time",
		"19:26:48,04":  "is not a time",
		"9:26:48:04":   "is not a time",
		"1:2:3:4:5":    "is not a time",
		"١:٣٠":         "is not a time", // digits, but not those of a clock
		"0:60":         "minutes or seconds over 59",
		"1:60:00":      "minutes or seconds over 59",
		"0:00:60":      "minutes or seconds over 59",
		"100:00":       "is not a time",
		"96:00:01":     "longer than any film",
		"999:00:00":    "longer than any film",
		"345601s":      "longer than any film",
		"24:00:00:00":  "hours over 23",
		"00:60:00:00":  "hours over 23",
		"00:00:60;00":  "hours over 23",
	} {
		if got, err := ParseInstant(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseInstant(%q) = %+v, %v; want an error with %q", text, got, err, want)
		}
	}
}

func TestResolve(t *testing.T) {
	pal := Rate{25, 1}
	start := func(r Rate, text string) Frame {
		at, err := ParseInstant(text)
		if err != nil {
			t.Fatal(err)
		}
		n, err := r.Frame(at.Timecode())
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	first := 40 * Millisecond
	for _, c := range []struct {
		text  string
		clock Clock
		want  Time
		err   string
	}{
		{text: "0:08:02.100", clock: Clock{}, want: 482_100 * Millisecond},
		// A clock time is on the film's own time, wherever its timecode starts.
		{text: "0:08:02.100", clock: Clock{Rate: pal, First: first, Start: 9_999}, want: 482_100 * Millisecond},
		{text: "f50", clock: Clock{Rate: pal, First: first, Start: 9_999}, want: 2*Second + first},
		{text: "+f50", clock: Clock{Rate: pal, First: first, Start: 9_999}, want: 2 * Second},
		{text: "-f50", clock: Clock{Rate: pal, First: first, Start: 9_999}, want: -2 * Second},
		{text: "+1.5s", clock: Clock{Rate: pal, First: first, Start: 9_999}, want: 1500 * Millisecond},
		{text: "19:26:48:04", clock: Clock{Rate: pal, Start: start(pal, "19:26:48:04")}, want: 0},
		{text: "19:26:49:05", clock: Clock{Rate: pal, First: first, Start: start(pal, "19:26:48:04")}, want: 26*40*Millisecond + first},
		{text: "19:26:48:03", clock: Clock{Rate: pal, Start: start(pal, "19:26:48:04")}, err: "timecode 19:26:48:03 is before the film's start, 19:26:48:04"},
		{text: "00:00:00:00", clock: Clock{Rate: pal}, want: 0},
		// Over midnight: film that starts after noon and addresses before noon.
		{text: "00:00:01:00", clock: Clock{Rate: pal, Start: start(pal, "23:59:59:00")}, want: 2 * Second},
		{text: "00:10:00;00", clock: Clock{Rate: ntsc30, Start: start(ntsc30, "23:50:00;00")}, want: ntsc30.Duration(2 * 17982)},
		{text: "01:00:00:00", clock: Clock{Rate: pal, Start: start(pal, "10:00:00:00")}, err: "before the film's start"},
		// Drop-frame, an hour in, is an hour of clock time to within 4 ms; non-drop is 3.6 s more.
		{text: "01:00:00;00", clock: Clock{Rate: ntsc30}, want: ntsc30.Duration(107_892)},
		{text: "01:00:00:00", clock: Clock{Rate: ntsc30}, want: 3600*Second + 3600*Millisecond},
		{text: "00:01:00;00", clock: Clock{Rate: ntsc30}, err: "drop-frame skips"},
		{text: "00:00:00:25", clock: Clock{Rate: pal}, err: "does not exist"},
		{text: "f1", clock: Clock{}, err: ErrNoRate.Error()},
		{text: "+f1", clock: Clock{}, err: ErrNoRate.Error()},
		{text: "00:00:01:00", clock: Clock{}, err: ErrNoRate.Error()},
	} {
		at, err := ParseInstant(c.text)
		if err != nil {
			t.Fatal(err)
		}
		got, err := at.Resolve(c.clock)
		switch {
		case c.err == "" && (err != nil || got != c.want):
			t.Errorf("%s on %+v is %s, %v; want %s", c.text, c.clock, got, err, c.want)
		case c.err != "" && (err == nil || !strings.Contains(err.Error(), c.err)):
			t.Errorf("%s on %+v is %s, %v; want an error with %q", c.text, c.clock, got, err, c.err)
		}
	}
	if _, err := (Instant{Unit: FrameCount}).Resolve(Clock{}); !errors.Is(err, ErrNoRate) {
		t.Errorf("a frame with no rate fails with %v", err)
	}
}

// A film counts in drop-frame and a tag file does not, or the other way: an hour apart by
// 108 frames of 30000/1001 (SMPTE ST 12-1: 107892 is 01:00:00;00, and 108000 01:00:00:00).
func TestMiscounted(t *testing.T) {
	drop := Clock{Rate: ntsc30, Start: 107_892, Counting: DropFrame}
	plain := Clock{Rate: ntsc30, Start: 108_000, Counting: NonDrop}
	zero := Clock{Rate: ntsc30, Counting: DropFrame}
	for _, c := range []struct {
		clock Clock
		text  string
		frame Frame
		want  string // of the error
	}{
		{drop, "02:00:00;00", 107_892, ""},
		{plain, "02:00:00:00", 108_000, ""},
		{drop, "02:00:00:00", 0, "timecode 02:00:00:00 is non-drop, but the film's start, 01:00:00;00, is drop-frame: as written it is 1:00:07.204 into the film, as 02:00:00;00 it would be 0:59:59.996; write it as the film counts"},
		{plain, "02:00:00;00", 0, "timecode 02:00:00;00 is drop-frame, but the film's start, 01:00:00:00, is non-drop: as written it is 0:59:56.393 into the film, as 02:00:00:00 it would be 1:00:03.600; write it as the film counts"},
		{drop, "01:01:00:00", 0, "timecode 01:01:00:00 is non-drop, but the film's start, 01:00:00;00, is drop-frame, and as that: timecode 01:01:00;00 is one of those drop-frame skips"},
		{zero, "00:00:59:29", 1799, ""}, // the two are one until the first minute is over
		{zero, "00:01:00:02", 0, "as written it is 0:01:00.127 into the film, as 00:01:00;02 it would be 0:01:00.060"},
		{Clock{Rate: ntsc30}, "00:01:00:02", 1802, ""}, // a film that states no timecode counts either way
		{Clock{Rate: ntsc30}, "00:01:00;02", 1800, ""},
	} {
		at, err := ParseInstant(c.text)
		if err != nil {
			t.Fatal(err)
		}
		got, err := at.Resolve(c.clock)
		switch {
		case c.want == "" && (err != nil || got != c.clock.At(c.frame)):
			t.Errorf("%s on %+v is %s, %v; want frame %d", c.text, c.clock, got, err, c.frame)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s on %+v is %s, %v; want an error with %q", c.text, c.clock, got, err, c.want)
		}
	}
}

// YAML 1.1 reads some of these as sexagesimal, octal or boolean, and 1e3 as a float; a tag
// file's author means what he wrote.
func TestScalarsAsWritten(t *testing.T) {
	for _, text := range []string{"12:31", "1:30", "0:08:02.100", "yes", "no", "on", "y", "091", "010", "0x10", "1e3", "1.50", "1_000", "2026-09-12", "+2.64s", "'12:31'", `"091"`} {
		var n yaml.Node
		if err := yaml.Unmarshal([]byte("k: "+text), &n); err != nil {
			t.Fatal(err)
		}
		d := Decoder{}
		if got, want := d.Text(n.Content[0].Content[1], "k"), strings.Trim(text, `'"`); got != want || d.Faults != nil {
			t.Errorf("%s reads as %q, %v; want %q", text, got, d.Faults, want)
		}
	}
	for text, want := range map[string]int{"14": 14, "014": 14, "'14'": 14, "1": 1, "99": 99} {
		var n yaml.Node
		if err := yaml.Unmarshal([]byte("k: "+text), &n); err != nil {
			t.Fatal(err)
		}
		d := Decoder{}
		if got, ok := d.Whole(n.Content[0].Content[1], 1, 99); !ok || got != want {
			t.Errorf("%s reads as %d, %v; want %d", text, got, d.Faults, want)
		}
	}
	for _, text := range []string{"1e1", "1.5", "0x10", "0o7", "0", "100", "-3", "1_0", "yes", "", "~", "[1]", "{a: 1}"} {
		var n yaml.Node
		if err := yaml.Unmarshal([]byte("k: "+text), &n); err != nil {
			t.Fatal(err)
		}
		d := Decoder{}
		if got, ok := d.Whole(n.Content[0].Content[1], 1, 99); ok || len(d.Faults) != 1 {
			t.Errorf("%q reads as %d, faults %v; want one fault", text, got, d.Faults)
		}
	}
	for text, want := range map[string]bool{"yes": true, "true": true, "no": false, "false": false} {
		var n yaml.Node
		if err := yaml.Unmarshal([]byte("k: "+text), &n); err != nil {
			t.Fatal(err)
		}
		d := Decoder{}
		if got := d.YesNo(n.Content[0].Content[1], "k"); got != want || d.Faults != nil {
			t.Errorf("%s reads as %t, %v", text, got, d.Faults)
		}
	}
}
