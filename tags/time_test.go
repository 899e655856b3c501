package tags

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// rates is what cameras record, and two that are no whole number of flicks a frame or
// no standard at all.
var rates = []Rate{
	{24000, 1001},
	{24, 1},
	{25, 1},
	{30000, 1001},
	{30, 1},
	{48000, 1001},
	{48, 1},
	{50, 1},
	{60000, 1001},
	{60, 1},
	{120000, 1001},
	{120, 1},
	{2997, 125},
	{15, 1},
	{1000, 1},
	{7, 3},
	{90001, 3003},
}

// framesOf24h calls f with frames of a day at r: the first and last thousand, those
// around each hour, and a spread of the rest.
func framesOf24h(r Rate, f func(Frame)) {
	day := Frame(24 * 3600 * r.Num / r.Den)
	for n := Frame(0); n < 1000; n++ {
		f(n)
		f(day - n)
	}
	for h := Frame(1); h < 24; h++ {
		for n := h*day/24 - 5; n < h*day/24+5; n++ {
			f(n)
		}
	}
	for n := Frame(0); n < day; n += day/5_000 | 1 {
		f(n)
	}
}

// ceilQuotient is t·num/(den·Second), rounded up, in exact arithmetic.
func ceilQuotient(t Time, r Rate) Frame {
	num := new(big.Int).Mul(big.NewInt(int64(t)), big.NewInt(r.Num))
	den := new(big.Int).Mul(big.NewInt(r.Den), big.NewInt(int64(Second)))
	q, m := new(big.Int).DivMod(num, den, new(big.Int)) // m ≥ 0: rounded down
	if m.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return Frame(q.Int64())
}

func TestFrameAtIsAtInverse(t *testing.T) {
	for _, r := range rates {
		for _, first := range []Time{0, 1, 33 * Millisecond, -21 * Millisecond, 10*3600*Second + 7} {
			c := Clock{Rate: r, First: first}
			bad := 0
			framesOf24h(r, func(n Frame) {
				if got := c.FrameAt(c.At(n)); got != n {
					if bad++; bad < 4 {
						t.Errorf("rate %s first %d: FrameAt(At(%d)) = %d", r, first, n, got)
					}
				}
			})
		}
	}
}

// A time printed to the millisecond and read back must mean the frame it was printed
// for: that is how tags are written.
func TestPrintedTimeNamesItsFrame(t *testing.T) {
	for _, r := range rates {
		c, bad := Clock{Rate: r}, 0
		framesOf24h(r, func(n Frame) {
			if bad > 3 {
				return
			}
			at, err := ParseInstant(c.At(n).String())
			if err != nil {
				t.Fatal(err)
			}
			when, err := at.Resolve(c)
			if err != nil {
				t.Fatal(err)
			}
			if got := c.FrameAt(when); got != n {
				bad++
				t.Errorf("rate %s: frame %d printed as %s reads back as frame %d", r, n, c.At(n), got)
			}
		})
	}
}

func TestFramesAgainstExactArithmetic(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, r := range rates {
		for i := range 4000 {
			when := Time(random.Int64N(int64(maxSeconds*Second))) - Time(random.Int64N(int64(Second*3600)))
			switch i % 4 {
			case 1: // at, just before and just after a frame
				when = r.Duration(Frame(random.Int64N(9_000_000))) + Time(i%3-1)
			case 2:
				when = -r.Duration(Frame(random.Int64N(9_000))) + Time(i%3-1)
			case 3: // at the edge of what is forgiven
				when = r.Duration(Frame(random.Int64N(9_000_000))) + grace + Time(i%3-1)
			}
			if got, want := r.Ceil(when), ceilQuotient(when, r); got != want {
				t.Fatalf("rate %s: Ceil(%d) = %d, want %d", r, when, got, want)
			}
			if got, want := r.FrameAt(when), ceilQuotient(when-grace, r); got != want {
				t.Fatalf("rate %s: FrameAt(%d) = %d, want %d", r, when, got, want)
			}
		}
	}
}

func TestDuration(t *testing.T) {
	for _, r := range rates {
		for _, n := range []Frame{0, 1, 2, 29, 1001, 2_589_407, 10_368_000, 999_999_999} {
			// n·den·Second/num, rounded down.
			exact := new(big.Int).Mul(big.NewInt(int64(n)*r.Den), big.NewInt(int64(Second)))
			want := Time(exact.Quo(exact, big.NewInt(r.Num)).Int64())
			if got := r.Duration(n); got != want {
				t.Errorf("rate %s: Duration(%d) = %d, want %d", r, n, got, want)
			}
			if got := r.Duration(-n); got != -want {
				t.Errorf("rate %s: Duration(%d) = %d, want %d", r, -n, got, -want)
			}
		}
	}
}

// A flick divides a frame of each of these rates, so sums of them are exact.
func TestFlicksAreExact(t *testing.T) {
	for _, r := range rates[:12] {
		if int64(Second)*r.Den%r.Num != 0 {
			t.Errorf("a frame at %s is no whole number of flicks", r)
		}
	}
	if Second%1000 != 0 || Second%48_000 != 0 {
		t.Error("a millisecond or a sample at 48 kHz is no whole number of flicks")
	}
}

func TestFrameAtForgivesHalfAMillisecond(t *testing.T) {
	for _, r := range rates {
		n := Frame(1799)
		at := r.Duration(n)
		for _, c := range []struct {
			late Time
			want Frame
		}{{-grace, n}, {0, n}, {grace, n}, {grace + 2, n + 1}} {
			if r.Num == 1000 && c.late < 0 {
				continue // a frame is a millisecond: half of one before is half of one after
			}
			if got := r.FrameAt(at + c.late); got != c.want {
				t.Errorf("rate %s: FrameAt(At(%d)%+d) = %d, want %d", r, n, c.late, got, c.want)
			}
		}
	}
	if got := (Rate{25, 1}).FrameAt(-40 * Millisecond); got != -1 {
		t.Errorf("a frame before the start is frame %d, want -1", got)
	}
	if got := (Rate{25, 1}).FrameAt(-39 * Millisecond); got != 0 {
		t.Errorf("FrameAt(-39 ms) at 25 = %d, want 0", got)
	}
}

func TestMulDiv(t *testing.T) {
	const top = math.MaxInt64
	for _, c := range [][4]int64{
		{0, top, 1, 0},
		{7, 3, 2, 10},
		{top, top, top, top},
		{top, 2, 4, top / 2},
		{top, 1, 1, top},
		{3, top, top, 3},
		{1, 1, top, 0},
		{top, top - 1, top, top - 1},
	} {
		if got := mulDiv(c[0], c[1], c[2]); got != c[3] {
			t.Errorf("mulDiv(%d, %d, %d) = %d, want %d", c[0], c[1], c[2], got, c[3])
		}
	}
	// The longest time a tag file can hold, at the extremes of ParseRate.
	for _, s := range []string{"1", "1000", "2147483647/2147483646", "2147483647/2147484"} {
		r, err := ParseRate(s)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.FrameAt(r.Duration(999_999_999)); got != 999_999_999 {
			t.Errorf("rate %s: frame 999999999 comes back as %d", s, got)
		}
	}
}

func TestParseRate(t *testing.T) {
	for s, want := range map[string]Rate{
		"25": {25, 1}, "24": {24, 1}, "50.0": {50, 1}, "30": {30, 1}, "1": {1, 1}, "1000": {1000, 1},
		"30000/1001": {30000, 1001}, "60/2": {30, 1}, "2997/125": {2997, 125}, "24/1": {24, 1},
		"29.97": {30000, 1001}, "29.970": {30000, 1001}, "29.97003": {30000, 1001}, "29.961": {30000, 1001}, "29.96": {749, 25}, "29.979": {30000, 1001},
		"23.976": {24000, 1001}, "23.98": {24000, 1001}, "47.952": {48000, 1001}, "59.94": {60000, 1001}, "119.88": {120000, 1001},
		"12.5": {25, 2}, "14.985": {2997, 200}, "29.95": {599, 20}, "59.9": {599, 10},
	} {
		got, err := ParseRate(s)
		if err != nil || got != want {
			t.Errorf("ParseRate(%q) = %s, %v; want %s", s, got, err, want)
		}
		if again, err := ParseRate(got.String()); err != nil || again != got {
			t.Errorf("ParseRate(%q) = %s, %v; want %s again", got.String(), again, err, got)
		}
	}
	for _, s := range []string{
		"", "x", "0", "-25", "0.5", "1001", "1e9", "NaN", "Inf", "25fps", " 25", "0/0", "25/0", "0/25", "-30/-1",
		"30000/1001/1", "/", "25/", "1/25", "1/2147483647", "2147483648/1", "1001/1", "1000001/1000",
	} {
		if got, err := ParseRate(s); err == nil {
			t.Errorf("ParseRate(%q) = %s, want an error", s, got)
		}
	}
}

func TestNominal(t *testing.T) {
	for _, c := range []struct {
		r    Rate
		want int64
	}{{Rate{24000, 1001}, 24}, {Rate{30000, 1001}, 30}, {Rate{60000, 1001}, 60}, {Rate{25, 1}, 25}, {Rate{2997, 125}, 24}, {Rate{25, 2}, 13}, {Rate{1, 3}, 1}} {
		if got := c.r.Nominal(); got != c.want {
			t.Errorf("Nominal of %s = %d, want %d", c.r, got, c.want)
		}
	}
}

func TestTimePrinted(t *testing.T) {
	for _, c := range []struct {
		t             Time
		text, decimal string
	}{
		{t: 0, text: "0:00:00.000", decimal: "0.000000000"},
		{t: Second, text: "0:00:01.000", decimal: "1.000000000"},
		{t: 482*Second + 100*Millisecond, text: "0:08:02.100", decimal: "482.100000000"},
		{t: 26*3600*Second + 59*60*Second + 59*Second + 999*Millisecond, text: "26:59:59.999", decimal: "97199.999000000"},
		{t: Rate{30000, 1001}.Duration(1), text: "0:00:00.033", decimal: "0.033366666"}, // 1001/30000 = .0333666…
		{t: Rate{30000, 1001}.Duration(3), text: "0:00:00.100", decimal: "0.100100000"},
		{t: 59*Second + 999*Millisecond + grace, text: "0:01:00.000", decimal: "59.999500000"},
		{t: 59*Second + 999*Millisecond + grace - 1, text: "0:00:59.999", decimal: "59.999499998"}, // .0005 s less 1.417 ns
		{t: 1, text: "0:00:00.000", decimal: "0.000000001"},
		{t: -1, text: "0:00:00.000", decimal: "-0.000000001"},
		{t: -grace, text: "-0:00:00.001", decimal: "-0.000500000"},
		{t: -90*Second - 250*Millisecond, text: "-0:01:30.250", decimal: "-90.250000000"},
	} {
		if got := c.t.String(); got != c.text {
			t.Errorf("Time(%d) prints as %s, want %s", c.t, got, c.text)
		}
		if got := c.t.Decimal(); got != c.decimal {
			t.Errorf("Time(%d).Decimal() = %s, want %s", c.t, got, c.decimal)
		}
	}
}

// ffmpeg reads Decimal into microseconds or finer; the frame must survive that.
func TestDecimalKeepsItsFrame(t *testing.T) {
	for _, r := range rates {
		framesOf24h(r, func(n Frame) {
			when := r.Duration(n)
			at, err := ParseInstant(when.Decimal() + "s")
			if err != nil {
				t.Fatal(err)
			}
			if d := when - Time(at.N); d < 0 || d > 1 {
				t.Fatalf("rate %s frame %d: %d flicks written as %s come back %d off", r, n, when, when.Decimal(), d)
			}
		})
	}
}

func TestSpan(t *testing.T) {
	if got := (Span{In: 10, Out: 14}).Len(); got != 4 {
		t.Errorf("the span from 10 to before 14 has %d frames, want 4", got)
	}
	if (Rate{}).Known() || !(Rate{25, 1}).Known() {
		t.Error("only a rate that has been set is known")
	}
	if got := (Rate{30000, 1001}).FPS(); math.Abs(got-29.97002997) > 1e-8 {
		t.Errorf("30000/1001 is %v frames a second", got)
	}
	if got := (1500 * Millisecond).Seconds(); got != 1.5 {
		t.Errorf("1500 ms are %v s", got)
	}
}
