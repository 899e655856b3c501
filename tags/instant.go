package tags

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Unit is the notation an Instant was written in.
type Unit uint8

// The notations of an Instant.
const (
	Flicks       Unit = iota // 0:08:02.100 or 12.4s
	FrameCount               // f1234
	TimecodeUnit             // 19:26:48:04
	DropTimecode             // 19:26:48;04
)

// Origin is what an Instant counts from.
type Origin uint8

// The origins of an Instant.
const (
	FromFilm Origin = iota // the film's start, or its start timecode
	FromSnap               // the snap, written with a leading + or -
)

// Instant is a place in time as written in a tag file. Tags cannot know a film's rate,
// so an Instant becomes a Time only against a Clock.
type Instant struct {
	N    int64 // flicks or frames, negative before the snap; of timecode see [Instant.Timecode]
	Unit Unit
	From Origin
	Pos  Pos
}

// Clock is what a film says of its own time: what turns a written Instant into a Time.
type Clock struct {
	Rate  Rate
	First Time  // when frame 0 is shown, counted from the film's start
	Start Frame // the film's start timecode, as frames from 00:00:00:00
	// Counting is that of the start timecode; empty where the film states none.
	Counting Counting
}

// Counting is how a film's timecode counts its frames.
type Counting string

// The ways to count.
const (
	NonDrop   Counting = "non-drop"   // every number
	DropFrame Counting = "drop-frame" // see [Timecode]
)

// At is when frame n is shown.
func (c Clock) At(n Frame) Time { return c.First + c.Rate.Duration(n) }

// FrameAt is the first frame shown at t or after it; see [Rate.FrameAt].
func (c Clock) FrameAt(t Time) Frame { return c.Rate.FrameAt(t - c.First) }

// ErrNoRate says that an instant written in frames or timecode needs its film's rate.
var ErrNoRate = errors.New("the film's frame rate is not known")

// maxSeconds bounds every written time: no film runs longer than four days.
const maxSeconds = 4 * 24 * 3600

var (
	clockForm    = regexp.MustCompile(`^(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2})(?:\.(\d{1,9}))?$`)
	secondsForm  = regexp.MustCompile(`^(\d{1,6})(?:\.(\d{1,9}))?s$`)
	frameForm    = regexp.MustCompile(`^f(\d{1,9})$`)
	bareForm     = regexp.MustCompile(`^([+-]?)(\d{1,6})(\.\d{1,9})?$`)
	timecodeForm = regexp.MustCompile(`^(\d{2}):(\d{2}):(\d{2})([:;])(\d{2,3})$`)
)

// ParseInstant reads H:MM:SS.mmm, MM:SS.mmm, HH:MM:SS:FF, HH:MM:SS;FF, 12.4s or f1234;
// a leading + or - counts from the snap.
func ParseInstant(s string) (Instant, error) {
	at := Instant{}
	body, sign := s, int64(1)
	switch {
	case strings.HasPrefix(s, "+"):
		at.From, body = FromSnap, s[1:]
	case strings.HasPrefix(s, "-"):
		at.From, body, sign = FromSnap, s[1:], -1
	}
	var seconds int64
	var fraction string
	var m []string
	matches := func(form *regexp.Regexp) bool {
		m = form.FindStringSubmatch(body)
		return m != nil
	}
	switch {
	case matches(clockForm):
		h, min, sec := atoi(m[1]), atoi(m[2]), atoi(m[3])
		if min > 59 && m[1] != "" || sec > 59 {
			return at, fmt.Errorf("time %q has minutes or seconds over 59", s)
		}
		seconds, fraction = h*3600+min*60+sec, m[4]
	case matches(secondsForm):
		seconds, fraction = atoi(m[1]), m[2]
	case frameForm.MatchString(body):
		at.Unit, at.N = FrameCount, sign*atoi(body[1:])
		return at, nil
	case at.From == FromFilm && matches(timecodeForm):
		tc := Timecode{atoi(m[1]), atoi(m[2]), atoi(m[3]), atoi(m[5]), m[4] == ";"}
		at = tc.instant()
		if tc.Hours > 23 || tc.Minutes > 59 || tc.Seconds > 59 {
			return at, fmt.Errorf("timecode %q has hours over 23, or minutes or seconds over 59", s)
		}
		return at, nil
	case bareForm.MatchString(s):
		return at, noUnit(s)
	default:
		return at, fmt.Errorf("%q is not a time: want 0:08:02.100, 12.4s, f1234 or 19:26:48:04, with + or - before it to count from the snap", s)
	}
	if seconds > maxSeconds {
		return at, fmt.Errorf("time %q is longer than any film", s)
	}
	nanos := atoi((fraction + "000000000")[:9])
	at.N = sign * (seconds*int64(Second) + mulDiv(nanos, int64(Second), 1_000_000_000))
	return at, nil
}

// noUnit says how a number is written so that it is a time.
func noUnit(s string) error {
	m := bareForm.FindStringSubmatch(s)
	switch sign, whole, part := m[1], m[2], m[3]; {
	case part != "":
		return fmt.Errorf("%q has no unit: want %ss for seconds", s, s)
	case sign != "":
		return fmt.Errorf("%q has no unit: want %ss for seconds or %sf%s for frames", s, s, sign, whole)
	default:
		return fmt.Errorf("%q has no unit: want %ss for seconds or f%s for a frame", s, s, whole)
	}
}

// atoi reads digits a pattern has already bounded; none at all is zero.
func atoi(digits string) int64 {
	n, _ := strconv.ParseInt(digits, 10, 64)
	return n
}

// instant is tc as written, its numbers packed into one.
func (tc Timecode) instant() Instant {
	at := Instant{N: ((tc.Hours*60+tc.Minutes)*60+tc.Seconds)*1000 + tc.Frames, Unit: TimecodeUnit}
	if tc.Drop {
		at.Unit = DropTimecode
	}
	return at
}

// IsTimecode reports whether at was written as timecode.
func (at Instant) IsTimecode() bool { return at.Unit == TimecodeUnit || at.Unit == DropTimecode }

// Timecode is the timecode that at was written as; see [Instant.IsTimecode].
func (at Instant) Timecode() Timecode {
	n := at.N
	return Timecode{n / 3_600_000, n / 60_000 % 60, n / 1000 % 60, n % 1000, at.Unit == DropTimecode}
}

// NeedsRate reports whether at can be resolved only with its film's rate.
func (at Instant) NeedsRate() bool { return at.Unit != Flicks }

// Resolve is the instant on the film's own time, or from the snap for FromSnap.
// It fails with ErrNoRate where c has no rate and the notation needs one.
func (at Instant) Resolve(c Clock) (Time, error) {
	if at.Unit == Flicks {
		return Time(at.N), nil
	}
	if !c.Rate.Known() {
		return 0, ErrNoRate
	}
	if at.Unit == FrameCount {
		if at.From == FromSnap {
			return c.Rate.Duration(Frame(at.N)), nil
		}
		return c.At(Frame(at.N)), nil
	}
	n, err := c.frame(at.Timecode())
	if err != nil {
		return 0, err
	}
	return c.At(n), nil
}

// frame is the frame of the film that tc names. A film that counts in one way and a
// timecode written in the other are up to 3.6 s an hour apart, and which was meant nobody
// can tell.
func (c Clock) frame(tc Timecode) (Frame, error) {
	n, err := c.sinceStart(tc)
	if err != nil || c.Counting == "" || tc.Drop == (c.Counting == DropFrame) {
		return n, err
	}
	other := tc
	other.Drop = !tc.Drop
	m, err := c.sinceStart(other)
	said := fmt.Sprintf("timecode %s is %s, but the film's start, %s, is %s", tc, counting(tc), c.Rate.Timecode(c.Start, other.Drop), counting(other))
	switch {
	case err != nil:
		return 0, fmt.Errorf("%s, and as that: %w", said, err)
	case m != n:
		return 0, fmt.Errorf("%s: as written it is %s into the film, as %s it would be %s; write it as the film counts", said, c.At(n), other, c.At(m))
	}
	return n, nil
}

func counting(tc Timecode) Counting {
	if tc.Drop {
		return DropFrame
	}
	return NonDrop
}

// sinceStart is the frame that tc names, counted from the film's start timecode.
func (c Clock) sinceStart(tc Timecode) (Frame, error) {
	n, err := c.Rate.Frame(tc)
	if err != nil {
		return 0, err
	}
	if half := c.Rate.Nominal() * 12 * 3600; int64(c.Start) > half && int64(n) < half {
		midnight, _ := c.Rate.Frame(Timecode{Hours: 24, Drop: tc.Drop})
		n += midnight
	}
	if n < c.Start {
		return 0, fmt.Errorf("timecode %s is before the film's start, %s", tc, c.Rate.Timecode(c.Start, tc.Drop))
	}
	return n - c.Start, nil
}
