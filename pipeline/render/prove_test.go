package render_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// standIn is ffmpeg's other name for its H.264 encoder, which then is told of quality as
// hardware is. There is no hardware where this is tested.
const standIn = "h264"

// namesRGB reports whether H.264 of RGB says so, though it was to be named BT.709.
func namesRGB(b *bench) bool {
	b.t.Helper()
	path := filepath.Join(b.dir, "rgb.mp4")
	err := b.maker.Tool.Run(context.Background(), []string{"-f", "lavfi", "-i", "color=red:s=64x64", "-frames:v", "1", "-c:v", "libx264rgb", "-colorspace", "bt709", "file:" + path}, nil, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	report, err := b.maker.Tool.Probe(context.Background(), path)
	if err != nil {
		b.t.Fatal(err)
	}
	return report.Streams[0].Matrix == "gbr"
}

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
			if encoder == "libx264rgb" && namesRGB(b) {
				t.Skip("this ffmpeg, as those from 7.1 on, says that its colours are RGB")
			}
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
