package viewer

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// Columns is how many bytes of sound and of motion there are for a second of film. The first
// column begins with frame 0.
const Columns = 10

// column is how much film a column stands for.
const column = tags.Second / Columns

// stripKind names what is kept of a film in the library's cache; its version counts up when it
// is worked out another way.
func stripKind(kind string) string { return fmt.Sprintf("1.%s.strip", kind) }

// columns is how many columns a film has.
func columns(src plan.Source) int {
	return int((src.Rate.Duration(src.Frames) + column - 1) / column)
}

// strip is a byte for each column of the film, or how far it is from being there.
func (v *Viewer) strip(f *Film, kind string) ([]byte, Progress) {
	work, rank := v.loudness, 0
	if kind == "motion" {
		work, rank = v.motion, 2
	} else if f.Source.Audio < 0 {
		return nil, Progress{State: None, Said: "the film has no sound"}
	}
	if data, ok := v.library.Kept(f.Source, stripKind(kind)); ok && len(data) == columns(f.Source) {
		return data, Progress{State: Ready}
	}
	p := v.jobs.ask(kind+" "+f.ID, rank, f.Source.Frames, func(ctx context.Context, progress func(tags.Frame)) error {
		data, err := work(ctx, f, progress)
		if err == nil {
			err = f.unchanged()
		}
		if err != nil {
			return err
		}
		v.library.Keep(f.Source, stripKind(kind), data)
		v.mu.Lock()
		defer v.mu.Unlock()
		v.strips[kind+f.ID] = data
		return nil
	})
	if p.State != Ready {
		return nil, p
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	return v.strips[kind+f.ID], p // of a cache that cannot be written to
}

// heard is how much sound is read at once.
const heard = 5 * 60 * tags.Second

// quietest is how many decibels below the loudest that 16 bits can hold a column is 0.
const quietest = 60

// loudness is the peak of each column, from 0 for 60 dB below full scale and less to 255 for
// full scale.
func (v *Viewer) loudness(ctx context.Context, f *Film, progress func(tags.Frame)) ([]byte, error) {
	src := f.Source
	data := make([]byte, columns(src))
	const samples = int(column / (tags.Second / film.SoundRate))
	end := src.Clock().At(src.Frames)
	for at := tags.Time(0); at < end-src.First; at += heard {
		s, err := v.library.Hear(ctx, f.path, src.First+at, min(src.First+at+heard, end), nil)
		if err != nil {
			return nil, err
		}
		c := int(at / column)
		for part := range slices.Chunk(s.Samples, samples) {
			peak := 0
			for _, sample := range part {
				peak = max(peak, int(sample), -int(sample))
			}
			data[c] = decibels(peak)
			c++
		}
		progress(src.Rate.Floor(at + heard))
	}
	return data, nil
}

func decibels(peak int) byte {
	below := 20 * math.Log10(max(float64(peak), 1)/math.MaxInt16)
	return byte(math.Round(255 * min(max(1+below/quietest, 0), 1)))
}

// motion is the most that moves in each column apart from the camera, from 0 for nothing to 255 for
// what is exceeded in one column of a hundred; in between by its square root.
func (v *Viewer) motion(ctx context.Context, f *Film, progress func(tags.Frame)) ([]byte, error) {
	done := tags.Frame(0)
	var mu sync.Mutex
	g, err := watch.Look(ctx, v.library, f.path, watch.NewCrew(runtime.GOMAXPROCS(0)/2), func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += more
		progress(done)
	})
	if err != nil {
		return nil, err
	}
	most := make([]float64, columns(f.Source))
	for n, m := range g.Moves() {
		c := min(int(f.Source.Rate.Duration(tags.Frame(n))/column), len(most)-1)
		most[c] = max(most[c], float64(m))
	}
	sorted := slices.Sorted(slices.Values(most))
	full := max(sorted[len(sorted)*99/100], math.SmallestNonzeroFloat32)
	data := make([]byte, len(most))
	for c, m := range most {
		data[c] = byte(math.Round(255 * math.Sqrt(min(m/full, 1))))
	}
	return data, nil
}
