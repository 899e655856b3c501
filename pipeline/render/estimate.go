package render

import (
	"context"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Estimate is how large a reel will be, before it is made.
type Estimate struct {
	Low, High int64      // bytes
	Frames    tags.Frame // of the reel
	Segments  int        // in the reel
	Kept      int        // of them, how many the store has, so that their size is known
}

// Estimate says how large the reel of p will be. It takes the size of segments that the store
// has, and estimates that of others by a table.
func (m *Maker) Estimate(ctx context.Context, p *plan.Plan) (Estimate, error) {
	jobs, err := m.jobs(p.Entries)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Frames: p.Frames(), Segments: len(jobs)}
	for _, job := range jobs {
		if ctx.Err() != nil {
			return e, context.Cause(ctx)
		}
		s := job.Segment
		if !p.Delivery.Mute {
			seconds := s.House.Rate.Duration(s.Frames()).Seconds()
			e.Low += int64(seconds * leastSound)
			e.High += int64(seconds * mostOf(s))
		}
		if movie, err := verify(m.Store.path(job.Key), s); err == nil {
			e.Low += movie.pictures
			e.High += movie.pictures
			e.Kept++
			continue
		}
		w := usual(s)
		e.Low += int64(w.Least * float64(s.Frames()))
		e.High += int64(w.Most * float64(s.Frames()))
	}
	e.Low += tablesOf(int64(e.Frames), 4)
	e.High += tablesOf(int64(e.Frames), 32)
	return e, nil
}

// Bytes of sound a second: the encoder keeps to 160 kbit/s and a little, and takes next to
// nothing of that for silence.
const (
	leastSound = 200
	silence    = 1000
	mostSound  = 21_500
)

// mostOf is the most that the sound of s takes, in bytes a second.
func mostOf(s plan.Segment) float64 {
	if s.Kind != plan.Film || s.Source.Audio < 0 || s.Hold > 0 || !s.Speed.Normal() {
		return silence
	}
	return mostSound
}

// tablesOf is what a reel's tables take: some bytes a frame, and its head.
func tablesOf(frames, each int64) int64 { return 1000 + frames*each }

// weight is the least and the most that pictures of one kind take, in bytes a frame on their
// average.
type weight struct{ Least, Most float64 }

// bitsPerPixel is what film took at each quality, in thousandths of a bit for each pixel of
// each frame, measured with x264 of ffmpeg 5.1: from the quietest play of the demo film up
// to the liveliest of six films of real cameras, at 640×360 and 1280×720. Of the demo
// film, 22 clips took 6.2 to 8.6 at small, 11.5 to 14.8 at standard and 17.1 to 22.3 at fine;
// of real cameras 5.5 to 37, 15 to 105 and 35 to 203.
var bitsPerPixel = map[int]weight{28: {5, 40}, 20: {11, 110}, 16: {16, 210}}

// usual is the weight of s by the table.
func usual(s plan.Segment) weight {
	pixels := float64(s.House.Width * s.House.Height)
	if s.Kind != plan.Film || s.Hold > 0 {
		// One picture, and then hardly anything for each frame that is the same.
		frames := float64(max(s.Frames(), 1))
		return weight{pixels * 0.01 / frames, 20 + pixels*0.3/frames}
	}
	w, ok := bitsPerPixel[s.Encoder.CRF]
	if !ok {
		w = weight{bitsPerPixel[28].Least, bitsPerPixel[16].Most}
	}
	return weight{w.Least * pixels / 8000, w.Most * pixels / 8000}
}
