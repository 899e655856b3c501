package watch

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"trenchcut/pipeline/ffmpeg"
)

// Invented film: shots of a field seen from the side or from the end zone, with men who
// stand and then run, cameras that turn, noise, and among them crowds and scoreboards.
// Everything about it is known.

const (
	inventedWidth  = 256
	inventedHeight = 144
)

// scene is what a shot of invented film shows.
type scene string

const (
	side  scene = "side"
	end   scene = "end"
	crowd scene = "crowd"
	board scene = "board"
)

// passage is how an invented shot comes after the one before.
type passage string

const (
	cut      passage = "cut"
	dissolve passage = "dissolve" // over half a second, its middle at the shot's first frame
	dip      passage = "dip"      // to black and back, black at the shot's first frame
)

// invented is one shot of invented film.
type invented struct {
	scene  scene
	frames int
	snap   int // frame of the shot; 0 is none
	by     passage
	like   bool    // the camera stands as it did in the shot before
	flash  int     // a frame of the shot at which a light goes off; 0 is none
	sweep  float64 // how fast the camera turns from the snap on, pixels a frame
	knock  int     // a frame of the shot at which the camera jumps a little; 0 is none
	seed   uint64
}

// inventedFilm is shots one after another, all of it decided by the seed.
func inventedFilm(seed uint64, shots int) []invented {
	r := rand.New(rand.NewPCG(seed, 1))
	film := make([]invented, shots)
	for i := range film {
		s := invented{scene: side, frames: 75 + r.IntN(60), by: cut, seed: r.Uint64()}
		s.snap = 25 + r.IntN(20)
		switch k := r.IntN(20); {
		case k < 9:
			s.scene = end
		case k == 17:
			s.scene, s.snap, s.frames = board, 0, 20+r.IntN(50)
		case k == 18:
			s.scene, s.snap = crowd, 0
		}
		if i > 0 {
			switch k := r.IntN(12); {
			case k == 0 && film[i-1].sweep == 0:
				s.by = dissolve
			case k == 1:
				s.by = dip
			}
			s.like = s.scene == film[i-1].scene && r.IntN(2) == 0 && s.by == cut
		}
		if r.IntN(6) == 0 {
			s.flash = 12 + r.IntN(max(s.frames-20, 1))
		}
		if s.snap > 0 && r.IntN(3) == 0 {
			s.sweep = (r.Float64() - 0.5) * 3 // pixels a frame, from the snap
		}
		if r.IntN(6) == 0 {
			s.knock = 12 + r.IntN(max(s.frames-20, 1))
		}
		film[i] = s
	}
	return film
}

// stage paints one shot.
type stage struct {
	invented
	x0, y0 float64 // where the camera looks
	lean   float64
	men    [22][4]float64 // x, y and the way they run
	blobs  [60][5]float64
}

func newStage(s invented, before *stage) *stage {
	r := rand.New(rand.NewPCG(s.seed, 2))
	st := &stage{invented: s, x0: r.Float64() * 400, y0: r.Float64() * 300, lean: (r.Float64() - 0.5) * 0.5}
	if s.like && before != nil {
		st.x0, st.y0, st.lean = before.x0, before.y0, before.lean
	}
	for i := range st.men {
		way := r.Float64() * 2 * math.Pi
		speed := 0.4 + r.Float64()
		st.men[i] = [4]float64{
			inventedWidth * (0.25 + 0.5*r.Float64()), inventedHeight * (0.2 + 0.6*r.Float64()),
			speed * math.Cos(way), speed * math.Sin(way),
		}
	}
	for i := range st.blobs {
		st.blobs[i] = [5]float64{r.Float64() * inventedWidth, r.Float64() * inventedHeight, 3 + r.Float64()*9, r.Float64() * 220, r.Float64() * 6.28}
	}
	return st
}

// paint paints frame n of the shot, 4:4:4.
func (s *stage) paint(n int, planes []byte) {
	const size = inventedWidth * inventedHeight
	light, blue, red := planes[:size], planes[size:2*size], planes[2*size:]
	dot := func(x, y, w, h float64, l, b, r uint8) {
		for py := max(0, int(y-h)); py < min(inventedHeight, int(y+h)); py++ {
			for px := max(0, int(x-w)); px < min(inventedWidth, int(x+w)); px++ {
				at := py*inventedWidth + px
				light[at], blue[at], red[at] = l, b, r
			}
		}
	}
	run := 0.0
	if s.snap > 0 && n > s.snap {
		run = float64(n - s.snap)
	}
	turned := s.sweep * math.Max(run-6*(1-math.Exp(-run/6)), 0) // a camera takes a while to get going
	if s.knock > 0 && n >= s.knock {
		turned += 5
	}
	switch s.scene {
	case side, end:
		for y := range inventedHeight {
			for x := range inventedWidth {
				fx, fy := float64(x)+s.x0+turned, float64(y)+s.y0
				along := fx + s.lean*fy
				if s.scene == end {
					along = fy + s.lean*fx
				}
				at := y*inventedWidth + x
				light[at], blue[at], red[at] = turf(along), 114, 112
			}
		}
		for i, m := range s.men {
			b, r := uint8(150), uint8(110)
			if i%2 == 0 {
				b, r = 100, 165
			}
			x, y := m[0]+m[2]*run-turned, m[1]+m[3]*run
			if i == 0 { // a man in motion before the snap
				x += float64(min(n, max(s.snap, n))) * 0.5
			}
			dot(x, y, 3, 5, uint8(60+i*8), b, r)
		}
	case crowd:
		dot(0, 0, 2*inventedWidth, 2*inventedHeight, 60, 128, 128)
		for _, b := range s.blobs {
			x := b[0] + 1.5*math.Sin(b[4]+float64(n)/6)
			dot(x, b[1], b[2], b[2], uint8(b[3]), uint8(90+b[3]/3), uint8(160-b[3]/4))
		}
	case board:
		dot(0, 0, 2*inventedWidth, 2*inventedHeight, 25, 130, 126)
		for _, b := range s.blobs[:14] {
			dot(b[0], b[1], 2*b[2], b[2], 200, 90, 170)
		}
	}
	if s.flash > 0 && n >= s.flash && n < s.flash+2 {
		for i, l := range light {
			light[i] = uint8(min(235, int(l)+110))
		}
	}
}

// turf is how light the field is at a place along it: mown by turns, with a line between.
func turf(along float64) uint8 {
	band, in := math.Modf(along / 32)
	in *= 32
	line := math.Max(0, math.Min(1, 1.5-math.Abs(in-2)))
	grass := 84.0
	if int(band)%2 == 0 {
		grass = 90
	}
	return uint8(grass + line*(190-grass))
}

// fade is how long a dissolve or a dip takes, in frames.
const fade = 16

// write writes the film as raw planar 4:4:4.
func writeInvented(w io.Writer, film []invented, noise float64) error {
	stages := make([]*stage, len(film))
	for i, s := range film {
		var before *stage
		if i > 0 {
			before = stages[i-1]
		}
		stages[i] = newStage(s, before)
	}
	const bytes = inventedWidth * inventedHeight * 3
	frame, other := make([]byte, bytes), make([]byte, bytes)
	r := rand.New(rand.NewPCG(3, 4))
	grain := make([]int8, 1<<16)
	for i := range grain {
		grain[i] = int8(math.Round(r.NormFloat64() * noise))
	}
	for i, s := range stages {
		for n := range s.frames {
			s.paint(n, frame)
			mix := func(next *stage, at int, part float64) {
				switch next.by {
				case dissolve:
					other := other
					if at >= 0 {
						stages[i-1].paint(stages[i-1].frames+at, other)
					} else {
						next.paint(0, other)
					}
					for k := range frame {
						frame[k] = uint8(float64(frame[k])*(1-part) + float64(other[k])*part)
					}
				case dip:
					dark := math.Min(1, 2*part)
					for k := range frame {
						black := 128.0
						if k < bytes/3 {
							black = 16
						}
						frame[k] = uint8(float64(frame[k])*(1-dark) + black*dark)
					}
				}
			}
			if n < fade/2 && i > 0 {
				mix(s, n, 0.5-float64(n)/fade)
			}
			if left := s.frames - n; left <= fade/2 && i+1 < len(stages) {
				mix(stages[i+1], -left, 0.5-float64(left)/fade)
			}
			from := r.IntN(1 << 15)
			for k := range bytes / 3 {
				frame[k] = uint8(min(max(int(frame[k])+int(grain[(from+k)&0xffff]), 0), 255))
			}
			if _, err := w.Write(frame); err != nil {
				return fmt.Errorf("write invented film: %w", err)
			}
		}
	}
	return nil
}

// makeInvented makes a film file of invented shots.
func makeInvented(t testing.TB, tool ffmpeg.Tool, film []invented, noise float64, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "invented.mp4")
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	written := make(chan error, 1)
	go func() { written <- errors.Join(writeInvented(w, film, noise), w.Close()) }()
	all := []string{
		"-f", "rawvideo", "-pix_fmt", "yuv444p", "-video_size", fmt.Sprintf("%dx%d", inventedWidth, inventedHeight),
		"-framerate", "30000/1001", "-i", "pipe:0",
		"-c:v", "libx264", "-preset", "ultrafast", "-g", "60", "-bf", "2", "-pix_fmt", "yuv420p",
	}
	err = tool.Run(context.Background(), append(append(all, args...), "file:"+path), r, nil)
	r.Close()
	if err := errors.Join(err, <-written); err != nil {
		t.Fatal(err)
	}
	return path
}
