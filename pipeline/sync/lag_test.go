package sync

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// An invented afternoon at a field: a crowd that swells, claps, whistles and a voice.
// Everything about it is decided by the seed.
func event(seed uint64, rate int, seconds float64) []float64 {
	r := rand.New(rand.NewPCG(seed, 7))
	out := make([]float64, int(seconds*float64(rate)))
	low, swell, want := 0.0, 0.2, 0.2
	for i := range out {
		if i%rate == 0 {
			want = 0.08 + 0.3*r.Float64()
		}
		swell += (want - swell) / float64(rate)
		low += 0.5 * (r.NormFloat64() - low)
		out[i] = swell * low
	}
	at := func(t float64) int { return int(t * float64(rate)) }
	for t := r.ExpFloat64() * 2; t < seconds; t += r.ExpFloat64() * 2 {
		kind, loud, pitch := r.IntN(3), 0.3+r.Float64(), 250+r.Float64()*500
		for i := range min(rate/2, len(out)-at(t)) {
			s := float64(i) / float64(rate)
			switch kind {
			case 0: // a clap
				out[at(t)+i] += loud * math.Exp(-s*200) * r.NormFloat64()
			case 1: // a whistle
				out[at(t)+i] += 0.5 * loud * math.Sin(math.Pi*s*2) * math.Sin(2*math.Pi*800*s+3*math.Sin(2*math.Pi*35*s))
			case 2: // a call
				out[at(t)+i] += 0.5 * loud * math.Sin(math.Pi*s*2) * (math.Sin(2*math.Pi*pitch*s) + 0.5*math.Sin(4*math.Pi*pitch*s*(1+0.1*s)))
			}
		}
	}
	return out
}

// microphone is what a camera makes of an event.
type microphone struct {
	from, to float64 // seconds of the event that it was there for
	drift    float64 // parts in a million that its clock is slow
	colour   float64 // 0 is none; of a one-pole low-pass, or below 0 of a high-pass
	echo     float64 // how loud the echoes are, against the sound itself
	noise    float64 // its own, against the event's loudness
	gain     float64 // 1 is a fifth of full scale; what is beyond full scale is clipped
	turned   bool    // wired the other way round
	hum      float64
	seed     uint64
}

func (m microphone) hear(event []float64, rate int) film.Sound {
	r := rand.New(rand.NewPCG(m.seed, 99))
	source := event
	if m.echo > 0 {
		source = make([]float64, len(event))
		copy(source, event)
		for range 12 {
			late := 1 + r.IntN(rate/4)
			loud := m.echo * (2*r.Float64() - 1) * math.Exp(-float64(late)/float64(rate)/0.08)
			for i := late; i < len(source); i++ {
				source[i] += loud * event[i-late]
			}
		}
	}
	power := 0.0
	for _, v := range event {
		power += v * v / float64(len(event))
	}
	level := math.Sqrt(power)
	gain := m.gain
	if gain == 0 {
		gain = 1
	}
	if m.turned {
		gain = -gain
	}
	n := int((m.to - m.from) * float64(rate))
	s := film.Sound{Rate: rate, Samples: make([]int16, n)}
	slow := 0.0
	for i := range n {
		v := at(source, (m.from+float64(i)/float64(rate)*(1+m.drift/1e6))*float64(rate))
		if m.colour != 0 {
			slow += (1 - math.Abs(m.colour)) * (v - slow)
			if m.colour > 0 {
				v = slow
			} else {
				v -= slow
			}
		}
		v += m.noise*level*r.NormFloat64() + m.hum*level*math.Sin(2*math.Pi*60*float64(i)/float64(rate))
		s.Samples[i] = int16(max(min(v/level*gain*0.2*32767, 32767), -32768))
	}
	return s
}

// at is a sound between its samples: a sinc of 16 with a window over it.
func at(v []float64, x float64) float64 {
	whole := int(math.Floor(x))
	part := x - float64(whole)
	if part == 0 {
		if whole < 0 || whole >= len(v) {
			return 0
		}
		return v[whole]
	}
	sum, sine := 0.0, math.Sin(math.Pi*part)/math.Pi
	for k := -7; k <= 8; k++ {
		if i := whole + k; i >= 0 && i < len(v) {
			d := part - float64(k)
			taper := 1 - d*d/(9*9)
			sum += v[i] * sine / d * taper * taper
		}
		sine = -sine
	}
	return -sum // the first k is odd
}

// trueLag is when a microphone heard what another heard at t.
func trueLag(a, b microphone, t tags.Time) tags.Time {
	in := a.from + t.Seconds()*(1+a.drift/1e6)
	return tags.Time(((in-b.from)/(1+b.drift/1e6) - t.Seconds()) * float64(tags.Second))
}

// halfFrame is half a frame at 60 frames a second.
const halfFrame = tags.Second / 120

func TestListen(t *testing.T) {
	const rate = 4000
	e := event(1, rate, 100)
	plain := microphone{from: 5, to: 80}
	for name, c := range map[string]struct{ a, b microphone }{
		"the same":             {plain, plain},
		"delayed":              {plain, microphone{from: 17.12345, to: 95}},
		"early":                {plain, microphone{from: 0.3, to: 60}},
		"little in common":     {microphone{from: 0, to: 60}, microphone{from: 35, to: 100}},
		"one is short":         {microphone{from: 0, to: 100}, microphone{from: 70.2, to: 79}},
		"resampled":            {plain, microphone{from: 9.1, to: 95, drift: 100}},
		"resampled back":       {microphone{from: 9.1, to: 95, drift: 42}, microphone{from: 0, to: 100, drift: -50}},
		"noisy":                {plain, microphone{from: 2.2, to: 80, noise: 1.5, seed: 4}},
		"both noisy":           {microphone{from: 5, to: 80, noise: 1, seed: 5}, microphone{from: 2.2, to: 80, noise: 1, seed: 4}},
		"clipped":              {plain, microphone{from: 12.7, to: 80, gain: 20}},
		"another microphone":   {plain, microphone{from: 8.88, to: 80, colour: 0.7, echo: 0.6, noise: 0.2, seed: 6, hum: 1}},
		"thin and wired round": {plain, microphone{from: 8.88, to: 80, colour: -0.5, echo: 0.4, turned: true, gain: 0.05, seed: 8}},
		// A crowd is low, and what a microphone adds is not: above it there is nothing to hear.
		"far off": {microphone{from: 1, to: 90, colour: 0.9, noise: 0.1, seed: 12}, microphone{from: 20, to: 100, colour: 0.95, noise: 0.15, seed: 13}},
		"all of it": {
			microphone{from: 5, to: 80, drift: -30, colour: 0.4, echo: 0.3, noise: 0.3, seed: 10},
			microphone{from: 11.3, to: 100, drift: 60, colour: -0.3, echo: 0.3, noise: 0.3, gain: 10, seed: 11},
		},
	} {
		t.Run(name, func(t *testing.T) {
			a, b := c.a.hear(e, rate), c.b.hear(e, rate)
			a.From, b.From = 3*tags.Second, 40*tags.Second // as of film that was not read from its start
			got, err := Listen(context.Background(), a, b)
			if err != nil {
				t.Fatalf("%v: %+v", err, got)
			}
			for _, on := range []tags.Time{0, got.At - a.From, tags.Time(len(a.Samples)) * (tags.Second / rate)} {
				want := trueLag(c.a, c.b, on) + b.From - a.From
				if off := got.On(on+a.From) - want; max(off, -off) > halfFrame {
					t.Errorf("at %s it is %s, want %s: %.2f ms off", on, got.On(on+a.From), want, off.Seconds()*1000)
				}
			}
		})
	}
}

// Never a wrong answer that is taken for sure: over seeded trials of related sound of
// every kind and of unrelated sound, which must be refused.
func TestNeverSureAndWrong(t *testing.T) {
	const rate, all = 2000, 500
	trials := all
	if testing.Short() {
		trials = 100
	}
	answered, related, worst := 0, 0, tags.Time(0)
	least, most := math.Inf(1), 0.0 // how clear answers and refusals of the unrelated were
	for seed := range uint64(trials) {
		r := rand.New(rand.NewPCG(seed, 3))
		some := func() microphone {
			m := microphone{seed: r.Uint64(), drift: 200*r.Float64() - 100, colour: 1.6*r.Float64() - 0.8, echo: 0.5 * r.Float64(), turned: r.IntN(2) == 0, hum: 3 * r.Float64()}
			m.noise = 2 * math.Pow(r.Float64(), 3) // mostly little, at times more than there is to hear
			m.gain = math.Exp(4 * (r.Float64() - 0.5))
			m.from = 5 * r.Float64()
			m.to = m.from + 5 + 6*r.Float64()
			return m
		}
		a, b := some(), some()
		e := event(seed, rate, 16)
		other := e
		if seed%2 == 1 {
			other = event(seed+all, rate, 16)
		}
		got, err := Listen(context.Background(), a.hear(e, rate), b.hear(other, rate))
		if err != nil && !errors.Is(err, ErrUnsure) {
			t.Fatal(err)
		}
		if seed%2 == 1 {
			most = max(most, got.Clear)
			if err == nil {
				t.Errorf("trial %d: unrelated sound is put in step by %s, clear %.1f", seed, got.By, got.Clear)
			}
			continue
		}
		related++
		if err != nil {
			continue
		}
		answered++
		least = min(least, got.Clear)
		off := got.By - trueLag(a, b, got.At)
		worst = max(worst, off, -off)
		if max(off, -off) > halfFrame {
			t.Errorf("trial %d: %.1f ms off, clear %.1f, %d of %d, %+v %+v", seed, off.Seconds()*1000, got.Clear, got.Agree, got.Of, a, b)
		}
	}
	t.Logf("%d of %d answered, at worst %.2f ms off, clear from %.1f on; unrelated sound is clear by up to %.2f", answered, related, worst.Seconds()*1000, least, most)
	if 3*answered < related {
		t.Errorf("only %d of %d related pairs, not all of them hopeless, were put in step", answered, related)
	}
}

// What must be refused, and with which words.
func TestListenRefuses(t *testing.T) {
	const rate = 2000
	e := event(21, rate, 300)
	m := microphone{from: 0, to: 120}
	whole := m.hear(e, rate)
	stopped := m.hear(e, rate)
	// A camera that was stopped at a minute, for ten seconds.
	stopped.Samples = append(stopped.Samples[:60*rate:60*rate], stopped.Samples[70*rate:]...)
	late := m.hear(e, rate)
	late.Samples = append(late.Samples[:105*rate:105*rate], late.Samples[105*rate+rate/10:]...) // for three frames, near the end
	silent := film.Sound{Rate: rate, Samples: make([]int16, 100*rate)}
	beeps := func(seed uint64) film.Sound { // the same tone once a second, in noise of its own
		s := microphone{from: 0, to: 60, noise: 1, seed: seed}.hear(event(seed, rate, 60), rate)
		for i := range s.Samples {
			if i%rate < rate/10 {
				s.Samples[i] = int16(8000 * math.Sin(2*math.Pi*440*float64(i%rate)/rate))
			}
		}
		return s
	}
	for name, c := range map[string]struct {
		a, b film.Sound
		says string
	}{
		"unrelated":  {whole, m.hear(event(22, rate, 300), rate), "hears what the other does"},
		"stopped":    {whole, stopped, "as when a camera was stopped"},
		"late":       {whole, late, "as when a camera was stopped"},
		"silent":     {whole, silent, "hears what the other does"},
		"too short":  {whole, film.Sound{Rate: rate, Samples: whole.Samples[:rate]}, "less than 2 s"},
		"nothing":    {whole, film.Sound{Rate: rate}, "less than 2 s"},
		"same tones": {beeps(1), beeps(2), "not sure enough"},
	} {
		t.Run(name, func(t *testing.T) {
			for _, pair := range [][2]film.Sound{{c.a, c.b}, {c.b, c.a}} {
				got, err := Listen(context.Background(), pair[0], pair[1])
				if !errors.Is(err, ErrUnsure) || !strings.Contains(fmt.Sprint(err), c.says) {
					t.Errorf("got %+v (%v), want it refused with %q", got, err, c.says)
				}
			}
		})
	}
	if _, err := Listen(context.Background(), whole, film.Sound{Rate: 8000, Samples: whole.Samples}); err == nil {
		t.Error("sounds of two rates are compared")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Listen(ctx, whole, whole); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped, it says %v", err)
	}
}

func TestInStep(t *testing.T) {
	const frame = tags.Second / 30
	at := func(first, other float64) Moment {
		return Moment{tags.Time(first * float64(tags.Second)), tags.Time(other * float64(tags.Second))}
	}
	for name, c := range map[string]struct {
		moments []Moment
		on, by  float64 // seconds
		says    string
	}{
		"two":            {[]Moment{at(60, 64.5), at(10, 14.5)}, 0, 4.5, ""},
		"a frame off":    {[]Moment{at(60, 64.5), at(90, 94.534)}, 75, 4.517, ""},
		"drifting":       {[]Moment{at(0, 10), at(3600, 3610.18), at(1800, 1810.09)}, 7200, 10.36, ""},
		"before":         {[]Moment{at(60, 4.5), at(70, 14.5)}, 0, -55.5, ""},
		"one":            {[]Moment{at(60, 64.5)}, 0, 0, "only one instant"},
		"the same twice": {[]Moment{at(60, 64.5), at(60, 64.5)}, 0, 0, "only one instant"},
		"none":           {nil, 0, 0, "nothing is marked"},
		"stopped":        {[]Moment{at(60, 64.5), at(90, 84.5)}, 0, 0, "not the same time apart"},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := InStep(c.moments, frame)
			if c.says != "" {
				if !errors.Is(err, ErrUnsure) || !strings.Contains(err.Error(), c.says) {
					t.Errorf("got %+v (%v), want it refused with %q", got, err, c.says)
				}
				return
			}
			by := got.On(tags.Time(c.on * float64(tags.Second))).Seconds()
			if err != nil || math.Abs(by-c.by) > 0.0011 {
				t.Errorf("at %g s it is %.4f s (%v), want %g", c.on, by, err, c.by)
			}
		})
	}
}
