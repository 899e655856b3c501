package ffmpeg

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Each frame of a span comes once, small, and none of the film's neighbours.
func TestPictures(t *testing.T) {
	tool, err := Find()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "ramp.mp4")
	// Frame n is as light as 16 + 2n.
	if err := tool.Run(context.Background(), []string{
		"-f", "lavfi", "-i", "color=black:s=64x36:r=30000/1001,format=gray,geq=lum='16+2*N'", "-frames:v", "100",
		"-c:v", "libx264", "-qp", "0", "-g", "30", "-pix_fmt", "yuv420p", "file:" + path,
	}, nil, nil); err != nil {
		t.Fatal(err)
	}
	src := plan.Source{Rate: ntsc, Ticks: tags.Rate{Num: 30000, Den: 1}, Frames: 100, Width: 64, Height: 36, Preroll: tags.Second / 10}
	args, err := SmallArgs(src, path, tags.Span{In: 37, Out: 52}, 16, 8)
	if err != nil {
		t.Fatal(err)
	}
	var first, second []byte
	n := 0
	err = tool.Pictures(context.Background(), args, 16*8*3/2, func(p []byte) error {
		switch n {
		case 0:
			first = bytes.Clone(p)
		case 1:
			second = bytes.Clone(p)
		}
		n++
		return nil
	})
	if err != nil || n != 15 {
		t.Fatalf("%d pictures (%v), want 15", n, err)
	}
	step := int(second[0]) - int(first[0])
	if want := 16 + 2*37; step < 1 || step > 2 || max(int(first[0])-want, want-int(first[0])) > 16 {
		t.Errorf("the first picture is %d light and the second %d more, want about %d and 2", first[0], step, want)
	}
}

func TestPicturesStops(t *testing.T) {
	tool, err := Find()
	if err != nil {
		t.Fatal(err)
	}
	endless := []string{"-f", "lavfi", "-i", "color=s=16x8:r=25", "-f", "rawvideo", "-pix_fmt", "yuv420p", "pipe:1"}
	enough := errors.New("enough")
	if err := tool.Pictures(context.Background(), endless, 192, func([]byte) error { return enough }); !errors.Is(err, enough) {
		t.Errorf("error %v, want the caller's own", err)
	}
	ctx, stop := context.WithCancel(context.Background())
	err = tool.Pictures(ctx, endless, 192, func([]byte) error { stop(); return nil })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want that it was stopped", err)
	}
	err = tool.Pictures(context.Background(), []string{"-i", "file:/nowhere.mp4", "-f", "rawvideo", "pipe:1"}, 192, func([]byte) error { return nil })
	if err == nil || !strings.Contains(err.Error(), "No such file") {
		t.Errorf("error %v, want ffmpeg's", err)
	}
}

// What opens film for a page opens it as guardedly as what cuts it, at the same place.
func TestPageArgs(t *testing.T) {
	src, span := *filmSegment().Source, tags.Span{In: 300, Out: 450}
	const film = "/film/-dash 100%.mts"
	cut, err := SmallArgs(src, film, span, 128, 72)
	if err != nil {
		t.Fatal(err)
	}
	stills, err := StillArgs(src, film, span, 960, 540, 0)
	if err != nil {
		t.Fatal(err)
	}
	standIn, err := StandInArgs(src, film, span, 960, 540, 0, "/cache/out.mp4")
	if err != nil {
		t.Fatal(err)
	}
	opened := func(args []string) string {
		all := strings.Join(args, "\n")
		for _, cheaper := range []string{"-filter_complex_threads\n1\n", "-skip_loop_filter\nnoref\n"} {
			all = strings.Replace(all, cheaper, "", 1) // of small pictures alone
		}
		return strings.Replace(all[:strings.Index(all, "-filter_complex")], "-threads\n0\n", "-threads\n1\n", 1)
	}
	for name, args := range map[string][]string{"stills": stills, "a stand-in": standIn} {
		if opened(args) != opened(cut) {
			t.Errorf("%s open film by\n%s\nwant\n%s", name, opened(args), opened(cut))
		}
	}
	all := strings.Join(stills, "\n")
	for _, want := range []string{"select=eq(pts\\,n)", "out_color_matrix=bt601:out_range=tv", "scale=in_range=tv:out_range=pc", "-f\nmpjpeg\n", "\npipe:1"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in the arguments\n%s", want, all)
		}
	}
}

func TestSmallArgs(t *testing.T) {
	args, err := SmallArgs(*filmSegment().Source, "/film/-dash 100%.mts", tags.Span{In: 300, Out: 450}, 128, 72)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(args, "\n") + "\n"
	for _, want := range []string{
		"-protocol_whitelist\nfile,pipe\n", "-format_whitelist\n" + filmFormats + "\n",
		"-i\nfile:/film/-dash 100%.mts\n", "trim=start_pts=0:end_pts=150[", "scale=w=128:h=72:flags=area[", "-f\nrawvideo\n", "\npipe:1\n",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in the arguments\n%s", want, all)
		}
	}
}
