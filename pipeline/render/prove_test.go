package render_test

import (
	"context"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// standIn is ffmpeg's other name for its H.264 encoder, which then is told of quality as
// hardware is. There is no hardware where this is tested.
const standIn = "h264"

// That proof can be had is shown with the stand-in; that it is refused, with encoders that
// really fail: one that wants a device there is none of, one whose pictures do not say how
// they are to be decoded, and one whose colours come out wrong.
func TestProve(t *testing.T) {
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		t.Fatal(err)
	}
	for encoder, want := range map[string]string{
		standIn:       "",
		"libx264rgb":  "does not show what was encoded",
		"h264_vaapi":  "vaapi",
		"mpeg4":       "no parameter sets",
		"no_such_one": "Unknown encoder",
	} {
		t.Run(encoder, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			r := recipe
			r.Encoder = r.Encoder.With(encoder)
			err := render.Prove(context.Background(), b.maker.Tool, b.maker.Toolchain, r)
			switch {
			case want == "" && err != nil:
				t.Error(err)
			case want != "" && (err == nil || !strings.Contains(err.Error(), want)):
				t.Errorf("error %v, want one that says %q", err, want)
			}
		})
	}
}
