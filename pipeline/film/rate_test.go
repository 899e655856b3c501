package film

import (
	"math"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// times is when the frames of a film at rate are shown, as a file whose ticks are so long
// says; frames that skip names are missing.
func times(rate tags.Rate, frames tags.Frame, tick tags.Time, skip func(tags.Frame) bool) []tags.Time {
	var list []tags.Time
	for n := range frames {
		if !skip(n) {
			list = append(list, tags.Time(math.Round(float64(rate.Duration(n))/float64(tick)))*tick)
		}
	}
	return list
}

func TestRate(t *testing.T) {
	ms, ts := tags.Millisecond, tags.Second/90_000
	r2997, r5994, r25 := tags.Rate{Num: 30000, Den: 1001}, tags.Rate{Num: 60000, Den: 1001}, tags.Rate{Num: 25, Den: 1}
	none := func(tags.Frame) bool { return false }
	one := func(n tags.Frame) bool { return n == 25 }
	third := func(n tags.Frame) bool { return n%3 == 2 }
	pause := func(n tags.Frame) bool { return n >= 50 && n < 250 }
	for name, c := range map[string]struct {
		since          []tags.Time
		coded, average string
		want           tags.Rate
		variable, gaps bool
	}{
		"constant":              {times(r2997, 105, ms, none), "30000/1001", "30000/1001", r2997, false, false},
		"one lost":              {times(r2997, 105, ms, one), "30000/1001", "2970/100", r2997, false, true},
		"one lost, rate wrong":  {times(r2997, 1000, ms, one), "1000/1", "2970/100", r2997, false, true},
		"one lost at 59.94":     {times(r5994, 220, ts, one), "60000/1001", "59/1", r5994, false, true},
		"a camera that paused":  {times(r25, 400, ts, pause), "25/1", "12/1", r25, false, true},
		"a third lost":          {times(r2997, 300, ts, third), "30000/1001", "20/1", r2997, true, false},
		"too short to tell":     {times(r2997, 9, ms, one), "30/1", "30/1", tags.Rate{Num: 30, Den: 1}, false, false},
		"as it comes, a spread": {[]tags.Time{0, 40 * ms, 71 * ms, 130 * ms, 139 * ms, 208 * ms, 255 * ms, 280 * ms, 340 * ms, 351 * ms, 400 * ms, 460 * ms}, "90000/1", "25/1", r25, true, false},
	} {
		r, variable, gaps := rate(ffmpeg.Stream{Rate: c.coded, Average: c.average}, false, c.since, 0)
		if r != c.want || variable != c.variable || gaps != c.gaps {
			t.Errorf("%s: %s, variable %v, gaps %v; want %s, %v, %v", name, r, variable, gaps, c.want, c.variable, c.gaps)
		}
	}
}
