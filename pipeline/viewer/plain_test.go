package viewer_test

import (
	"fmt"
	"testing"

	"trenchcut/pipeline/internal/brief"
	"trenchcut/pipeline/viewer"
	"trenchcut/tags"
)

// Film is played as it is only where every browser plays it and shows frame n at n/rate.
func TestPlain(t *testing.T) {
	t.Parallel()
	rate25 := tags.Rate{Num: 25, Den: 1}
	for _, test := range []struct {
		footage
		change func(b *bench, path string)
		want   bool
	}{
		{footage: footage{"film.mp4", rate2997, 60, true, nil}, want: true},
		{footage: footage{"silent.mov", rate25, 60, false, nil}, want: true},
		{footage: footage{"film.mkv", rate2997, 60, true, nil}},
		{footage: footage{"transport.ts", rate2997, 60, true, nil}},
		{footage: footage{"camera sound.mov", rate25, 60, true, []string{"-c:a", "pcm_s16le"}}},
		{footage: footage{"ten bits.mp4", rate25, 60, true, []string{"-pix_fmt", "yuv420p10le"}}},
		{footage: footage{"HEVC.mp4", rate25, 60, true, []string{"-c:v", "libx265", "-preset", "ultrafast", "-x265-params", "log-level=none"}}},
		{footage: footage{"variable.mp4", tags.Rate{Num: 30, Den: 1}, 120, true, []string{"-vf", "select='not(eq(mod(n,7),3)+eq(mod(n,7),5))'", "-fps_mode", "vfr"}}},
		{footage: footage{"gap.mp4", rate25, 300, true, []string{"-vf", "select='not(between(n,200,206))'", "-fps_mode", "vfr"}}},
		{footage: footage{"late picture.mp4", rate25, 60, true, []string{"-vf", "setpts=PTS+0.2/TB", "-fps_mode", "passthrough"}}},
		{footage: footage{"fragmented.mp4", rate2997, 60, true, []string{"-movflags", "+frag_keyframe+empty_moov", "-g", "30"}}},
		{footage: footage{"edit list.mp4", rate2997, 120, true, nil}, change: trim},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			path := b.film(test.footage)
			if test.change != nil {
				test.change(b, path)
			}
			if got, err := b.library.Plain(t.Context(), path); err != nil || got != test.want {
				t.Errorf("played as it is: %v (%v), want %v", got, err, test.want)
			}
		})
	}
}

// The browser's own times of plain film tell its frames, whatever its rate.
func TestPlainFilmPlays(t *testing.T) {
	b := newBench(t)
	v := b.viewer(viewer.Options{})
	for _, made := range []footage{
		{"silent.mov", tags.Rate{Num: 25, Den: 1}, 300, false, nil},
		{"cinema.mp4", tags.Rate{Num: 24000, Den: 1001}, 300, true, []string{"-movflags", "+faststart"}},
		{"fast.mp4", rate5994, 400, true, nil},
	} {
		f, err := v.Add(t.Context(), b.film(made))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(made.name, func(t *testing.T) {
			brief.Only(t, made.name == "fast.mp4")
			s := openScreen(t, v, f)
			s.Wait("screen.lead.smooth")
			for _, from := range []int{0, 123} {
				s.Eval(fmt.Sprintf("screen.show(%d)", from), nil)
				// So long that a busy moment is few of the frames that are seen.
				s.plays("screen.play()", fmt.Sprintf("screen.frame > %d", from+60))
			}
		})
	}
}
