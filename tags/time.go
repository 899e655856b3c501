package tags

import (
	"fmt"
	"math/bits"
	"strconv"
	"strings"
)

// Time is a length of time, or a place on a film, in flicks of 1/705 600 000 s.
// A frame of 24, 25, 30, 50, 60 or 120 a second, and of each rate's 1000/1001 kin,
// is a whole number of flicks, and so are a millisecond and a sample at 48 kHz:
// sums and comparisons are exact and need no fractions.
type Time int64

// Units of Time.
const (
	Second      Time = 705_600_000
	Millisecond Time = Second / 1000
)

// grace is how far before a written time a frame may start and still be the frame
// meant: times are written to the millisecond, so they are off by up to half of one.
const grace = Millisecond / 2

// Seconds is for printing and for statistics, never for storing.
func (t Time) Seconds() float64 { return float64(t) / float64(Second) }

// Decimal writes t in seconds with nine decimals, rounded toward zero, which is finer
// than any time base ffmpeg reads it into.
func (t Time) Decimal() string {
	sign := ""
	if t < 0 {
		sign, t = "-", -t
	}
	return fmt.Sprintf("%s%d.%09d", sign, t/Second, mulDiv(int64(t%Second), 1_000_000_000, int64(Second)))
}

// String writes t as H:MM:SS.mmm, to the nearest millisecond.
func (t Time) String() string {
	sign := ""
	if t <= -Millisecond/2 {
		sign = "-"
	}
	ms := int64((max(t, -t) + Millisecond/2) / Millisecond)
	return fmt.Sprintf("%s%d:%02d:%02d.%03d", sign, ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
}

// Frame is a number or a count of frames; a film's first frame is 0.
type Frame int64

// Span is a half-open run of frames: Out is the first frame not shown.
type Span struct {
	In  Frame `json:"in"`
	Out Frame `json:"out"`
}

// Len is the number of frames in s.
func (s Span) Len() Frame { return s.Out - s.In }

// Rate is frames a second as an exact fraction, such as 30000/1001.
type Rate struct {
	Num int64 `json:"num"`
	Den int64 `json:"den"`
}

// maxRate bounds what ParseRate takes, so that a frame lasts longer than grace and
// products of days of frames fit in 64 bits.
const maxRate = 1000

// ParseRate reads "30000/1001", "25" or a decimal such as "29.97", from 1 to 1000;
// decimals within 0.01 of a 1000/1001 rate mean that rate, because no camera records
// 29.97 exactly.
func ParseRate(s string) (Rate, error) {
	if num, den, ok := strings.Cut(s, "/"); ok {
		n, errN := strconv.ParseInt(num, 10, 32)
		d, errD := strconv.ParseInt(den, 10, 32)
		if errN != nil || errD != nil || d <= 0 || n < d || n > d*maxRate {
			return Rate{}, fmt.Errorf("rate %q is not a fraction from 1 to %d, such as 30000/1001", s, maxRate)
		}
		return Rate{n, d}.reduced(), nil
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || !(f >= 1 && f <= maxRate) {
		return Rate{}, fmt.Errorf("rate %q is not a number of frames a second such as 25, 29.97 or 30000/1001", s)
	}
	if whole := int64(f); float64(whole) == f {
		return Rate{whole, 1}, nil
	}
	for _, nominal := range []int64{24, 30, 48, 60, 120} {
		if exact := float64(nominal) * 1000 / 1001; f > exact-0.01 && f < exact+0.01 {
			return Rate{nominal * 1000, 1001}, nil
		}
	}
	return Rate{int64(f*1000 + 0.5), 1000}.reduced(), nil
}

func (r Rate) reduced() Rate {
	a, b := r.Num, r.Den
	for b != 0 {
		a, b = b, a%b
	}
	return Rate{r.Num / a, r.Den / a}
}

// Known reports whether r has been set.
func (r Rate) Known() bool { return r.Num > 0 && r.Den > 0 }

// FPS is for printing and comparing sizes of rates.
func (r Rate) FPS() float64 { return float64(r.Num) / float64(r.Den) }

func (r Rate) String() string {
	if r.Den == 1 {
		return strconv.FormatInt(r.Num, 10)
	}
	return fmt.Sprintf("%d/%d", r.Num, r.Den)
}

// Nominal is the whole number of frames timecode counts in a second, at least 1: 30 for
// 30000/1001.
func (r Rate) Nominal() int64 { return max((r.Num+r.Den/2)/r.Den, 1) }

// Duration is how long n frames last; where the rate gives no whole number of flicks
// it is rounded down, so that FrameAt(Duration(n)) is n at every rate.
func (r Rate) Duration(n Frame) Time {
	if n < 0 {
		return -r.Duration(-n)
	}
	return Time(mulDiv(int64(n)*r.Den, int64(Second), r.Num))
}

// FrameAt is the first frame that starts at t or after it, counting a frame that
// starts up to half a millisecond before t as starting at t.
func (r Rate) FrameAt(t Time) Frame {
	t -= grace
	if t <= 0 {
		return -r.floor(-t)
	}
	return r.ceil(t)
}

// Ceil is the least number of frames that last at least t.
func (r Rate) Ceil(t Time) Frame {
	if t <= 0 {
		return -r.floor(-t)
	}
	return r.ceil(t)
}

// Floor is how many whole frames fit into t, which is not negative; where the rate gives
// no whole number of flicks it may be one too few.
func (r Rate) Floor(t Time) Frame { return r.floor(t) }

func (r Rate) floor(t Time) Frame { return Frame(mulDiv(int64(t), r.Num, int64(Second)*r.Den)) }

func (r Rate) ceil(t Time) Frame {
	f := r.floor(t)
	if r.Duration(f) < t {
		f++
	}
	return f
}

// mulDiv is a*b/c rounded down, without overflow in the product; a, b ≥ 0, c > 0, and
// the quotient must fit in 63 bits.
func mulDiv(a, b, c int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	q, _ := bits.Div64(hi, lo, uint64(c))
	return int64(q)
}
