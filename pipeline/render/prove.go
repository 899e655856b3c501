package render

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// trialFrames is how many frames each slate of a trial stands.
const trialFrames = 15

// Try makes a reel of two slates with an encoder, each encoded by itself and the first with
// a clock that runs, in a folder of its own and the whole way a real reel goes. It returns
// how many frames the reel has.
func Try(ctx context.Context, tool ffmpeg.Tool, toolchain string, r plan.Recipe) (tags.Frame, error) {
	frames, _, err := try(ctx, tool, toolchain, r)
	return frames, err
}

// Prove is Try that does not take the encoder's word for it: the reel must be H.264 with
// parameters of its own, decode without a complaint, and show what X264 makes of the same.
func Prove(ctx context.Context, tool ffmpeg.Tool, toolchain string, r plan.Recipe) error {
	_, shown, err := try(ctx, tool, toolchain, r)
	if err != nil {
		return err
	}
	r.Encoder = r.Encoder.With(plan.X264)
	_, want, err := try(ctx, tool, toolchain, r)
	if err != nil {
		return err
	}
	if len(shown) != len(want) {
		return fmt.Errorf("it shows %d frames, want %d", len(shown), len(want))
	}
	for i := range want {
		if d := apart(shown[i], want[i]); d > mostApart {
			return fmt.Errorf("frame %d does not show what was encoded: it is %.1f of 255 off", i, d)
		}
	}
	return nil
}

// mostApart bounds how far small pictures of the same may be apart, of 255 on average:
// at the worst quality there is they are 1 or 2, and a frame out of place is 20 or more.
const mostApart = 6

// The size that a trial is looked at in.
const trialWidth, trialHeight = 64, 36

func try(ctx context.Context, tool ffmpeg.Tool, toolchain string, r plan.Recipe) (frames tags.Frame, shown [][]byte, err error) {
	dir, err := os.MkdirTemp("", "trenchcut-trial-")
	if err != nil {
		return 0, nil, err
	}
	defer os.RemoveAll(dir)
	p := trial(r)
	maker := &Maker{Tool: tool, Toolchain: toolchain, Store: Dir{filepath.Join(dir, "segments")}, Workers: 1}
	out := filepath.Join(dir, "trial.mp4")
	report, err := maker.Make(ctx, p, out, false, func(Event) {})
	if err != nil {
		return 0, nil, err
	}
	m, err := readMovie(out)
	if err != nil {
		return 0, nil, err
	}
	if len(m.params) == 0 {
		return 0, nil, errors.New("what it makes has no parameter sets, by which to tell whether it can be joined")
	}
	err = tool.Pictures(ctx, []string{
		"-i", "file:" + out, "-map", "0:v", "-vf", fmt.Sprintf("scale=%d:%d:flags=area,format=rgb24", trialWidth, trialHeight),
		"-f", "rawvideo", "pipe:1",
	}, trialWidth*trialHeight*3, func(picture []byte) error {
		shown = append(shown, append([]byte(nil), picture...))
		return nil
	})
	if err != nil {
		return 0, nil, fmt.Errorf("decode what it made: %w", err)
	}
	return report.Frames, shown, nil
}

// trial is a reel that needs no film.
func trial(r plan.Recipe) *plan.Plan {
	house := plan.House{Width: 640, Height: 360, Rate: tags.Rate{Num: 30000, Den: 1001}}
	dark := plan.Segment{
		Kind: plan.Slate, House: house, Hold: trialFrames, Card: &plan.Card{Title: "This machine can cut reels"}, Look: r.Look, Encoder: r.Encoder,
		Layers: []plan.Layer{{
			Span:  tags.Span{Out: trialFrames},
			Clock: &plan.Clock{Speed: plan.Speed{Num: 1, Den: 1}, Stop: tags.Second, Limit: 5 * tags.Second / 2},
		}},
	}
	light := dark
	light.Layers = nil
	light.Look.Ground = r.Look.Ink
	light.Look.Ink, light.Look.Quiet, light.Look.Accent = r.Look.Ground, r.Look.Ground, r.Look.Ground
	return &plan.Plan{Title: "Trial", House: house, Entries: []plan.Entry{{Chapter: "Dark", Segment: dark}, {Chapter: "Light", Segment: light}}}
}

// apart is how far two pictures are apart, on average.
func apart(x, y []byte) float64 {
	sum := 0
	for i := range x {
		sum += max(int(x[i])-int(y[i]), int(y[i])-int(x[i]))
	}
	return float64(sum) / float64(len(x))
}

// OfEncoder reports whether a reel failed in such a way that another encoder may make it:
// a segment could not be rendered, or it cannot be joined to the rest.
func OfEncoder(err error) bool {
	var failed *FailedError
	var full *FullError
	var damaged *DamagedError
	return (errors.As(err, &failed) || errors.Is(err, ErrUnlike)) && !errors.As(err, &full) && !errors.As(err, &damaged)
}
