package sync

import (
	"context"
	"math"
	"math/bits"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/dsp/fourier"
)

// Two microphones hear one sound each with its own colour, echo and noise, but with the
// same phase at every frequency, up to the time between them. So frequencies are weighed
// alike, whatever their strength, and that time is where all of them agree: generalised
// cross-correlation with phase transform (Knapp and Carter 1976).

// hit is where a window of one sound is heard in another.
type hit struct {
	at    float64 // sample of the other at which the window starts
	clear float64 // the peak over the next highest elsewhere; 1 is nothing heard
}

// apartBy is how far from a peak, in seconds, another one is another place: nearer lie
// the slopes of the same, and echoes from where the microphone stands.
const apartBy = 0.005

// bands are the frequencies in Hz that are weighed alike. Below is wind, handling and mains,
// not sound that two microphones share. Far off, what is left of a crowd is low, and all
// above it the microphone's own noise; so a window is heard in the band that is clearer.
var bands = [...]struct{ from, to int }{{100, 4000}, {100, 1000}}

// correlator finds where windows of one length are heard in a sound.
type correlator struct {
	in     []int16
	rate   int
	window int // its length in samples
}

// find is where each of the windows is heard, of those that start at samples from to to.
func (c *correlator) find(ctx context.Context, windows [][]int16, from, to int) ([]hit, error) {
	from, to = max(from, 0), min(to, len(c.in)-c.window+1)
	if from >= to {
		return make([]hit, len(windows)), nil
	}
	// In a block, a window may start at every sample but those that the last window takes.
	size := min(powerOf2(4*c.window), powerOf2(to-from+c.window))
	starts := size - c.window
	blocks := (to - from + starts - 1) / starts
	spectra := make([][]complex128, len(windows))
	first := newTransform(size, c.rate)
	for i, w := range windows {
		spectra[i] = first.spectrum(nil, w)
	}
	found := make([][len(bands)]peaks, len(windows))
	var next atomic.Int64
	var mu sync.Mutex
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), blocks) {
		group.Go(func() error {
			t := newTransform(size, c.rate)
			var block []complex128
			for {
				at := from + (int(next.Add(1))-1)*starts
				if at >= to || ctx.Err() != nil {
					return context.Cause(ctx)
				}
				block = t.spectrum(block, c.in[at:min(at+size, len(c.in))])
				for i := range spectra {
					for k, band := range bands {
						if k > 0 && band.to >= c.rate/2 {
							continue // it is no narrower than all there is
						}
						line := t.correlate(spectra[i], block, band.from, band.to)[:min(starts, to-at)]
						first, second := top(line, int(width*float64(c.rate)), int(apartBy*float64(c.rate)))
						mu.Lock()
						found[i][k].add(at, first, second)
						mu.Unlock()
					}
				}
			}
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	hits := make([]hit, len(windows))
	for i := range found {
		for _, p := range found[i] {
			if h := p.hit(apartBy * float64(c.rate)); h.clear > hits[i].clear {
				hits[i] = h
			}
		}
	}
	return hits, nil
}

func powerOf2(n int) int { return 1 << bits.Len(uint(n-1)) }

// transform goes from samples to frequencies and back. It is not for two at once.
type transform struct {
	fft     *fourier.FFT
	rate    int
	samples []float64
	crossed []complex128
}

func newTransform(size, rate int) *transform {
	return &transform{
		fft: fourier.NewFFT(size), rate: rate,
		samples: make([]float64, size), crossed: make([]complex128, size/2+1),
	}
}

// spectrum is the frequencies of some samples, their ends softened: where a sound is cut
// off is nothing that was heard.
func (t *transform) spectrum(into []complex128, samples []int16) []complex128 {
	sum := 0.0
	for _, v := range samples {
		sum += float64(v)
	}
	mean := sum / float64(max(len(samples), 1))
	soft := min(len(samples)/2, len(t.samples)/128)
	for i := range t.samples {
		t.samples[i] = 0
		if i < len(samples) {
			t.samples[i] = float64(samples[i]) - mean
		}
	}
	for i := range soft {
		weight := 0.5 - 0.5*math.Cos(math.Pi*(float64(i)+0.5)/float64(soft))
		t.samples[i] *= weight
		t.samples[len(samples)-1-i] *= weight
	}
	return t.fft.Coefficients(into, t.samples)
}

// correlate is how well window fits block from each sample of it on, at frequencies between
// from and to, in Hz. The line is good until the next call.
func (t *transform) correlate(window, block []complex128, from, to int) []float64 {
	clear(t.crossed)
	lowest := from*len(t.samples)/t.rate + 1
	band := t.crossed[lowest:max(lowest, min(to*len(t.samples)/t.rate, len(t.crossed)-1))]
	window, block = window[lowest:], block[lowest:]
	total := 0.0
	for i := range band {
		w, b := window[i], block[i]
		band[i] = complex(real(w)*real(b)+imag(w)*imag(b), real(w)*imag(b)-imag(w)*real(b))
		total += abs(band[i])
	}
	// Frequencies with next to nothing in them, as a codec leaves, do not count as much.
	floor := 0.02*total/float64(max(len(band), 1)) + 1e-9
	for i, v := range band {
		band[i] = v / complex(abs(v)+floor, 0)
	}
	return t.fft.Sequence(t.samples, t.crossed)
}

func abs(v complex128) float64 { return math.Sqrt(real(v)*real(v) + imag(v)*imag(v)) }

// peak is a high place of a correlation.
type peak struct{ at, height float64 }

// width is how wide a peak is in seconds, where clocks run apart while a window lasts or
// one of the microphones delays some frequencies more than others.
const width = 0.001

// top is the highest place of line, as wide as wide samples, and the highest one that is
// more than apart from it. A microphone may be wired the other way round, so what counts is
// the line's square. The line is used up.
func top(line []float64, wide, apart int) (first, second peak) {
	wide = min(max(wide, 1), len(line))
	squares := line
	for i, v := range line {
		squares[i] = v * v
	}
	// The sum from each sample on is put in its place; those of the highest are needed again.
	sum, highest, at := 0.0, 0.0, 0
	for _, v := range squares[:wide] {
		sum += v
	}
	best := make([]float64, wide)
	for i := range len(squares) - wide + 1 {
		if sum > highest {
			highest, at = sum, i
			copy(best, squares[i:])
		}
		gone := squares[i]
		squares[i] = sum
		if i+wide < len(squares) {
			sum += squares[i+wide] - gone
		}
	}
	middle, all := 0.0, 0.0
	for i, v := range best {
		middle += float64(i) * v
		all += v
	}
	if all == 0 {
		return peak{}, peak{}
	}
	first = peak{float64(at) + middle/all, math.Sqrt(highest)}
	for i, v := range squares[:len(squares)-wide+1] {
		if v > second.height && max(i-at, at-i) > apart {
			second = peak{float64(i), v}
		}
	}
	second.height = math.Sqrt(second.height)
	return first, second
}

// peaks gathers the peaks of blocks.
type peaks []peak

func (p *peaks) add(block int, found ...peak) {
	for _, f := range found {
		f.at += float64(block)
		*p = append(*p, f)
	}
}

// hit is the highest of all and how clear it is of those more than apart from it.
func (p peaks) hit(apart float64) hit {
	first, second := peak{}, 0.0
	for _, f := range p {
		if f.height > first.height {
			first = f
		}
	}
	for _, f := range p {
		if math.Abs(f.at-first.at) > apart {
			second = max(second, f.height)
		}
	}
	if first.height == 0 || second == 0 {
		return hit{} // silence, or too little was looked at to tell
	}
	return hit{first.at, first.height / second}
}
