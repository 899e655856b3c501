package watch

import (
	"bytes"
	"context"
	"math"
	"path/filepath"
	"reflect"
	"testing"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

const menWidth, menHeight = 640, 360

// men is where two men are at frame n, in pixels: each goes to where the other was.
func men(n int) (first, second tags.Point) {
	gone := 2 * float64(max(n-30, 0))
	return tags.Point{X: 200 + gone, Y: 180}, tags.Point{X: 420 - gone, Y: 182}
}

// paintMen paints the two, who look alike, on turf.
func paintMen(n int) []byte {
	planes := bytes.Repeat([]byte{128}, menWidth*menHeight*3/2)
	for i := range menWidth * menHeight {
		planes[i] = uint8(70 + (i%menWidth/9+i/menWidth/7)%5*4)
	}
	first, second := men(n)
	for _, at := range []tags.Point{second, first} {
		for y := -12; y <= 12; y++ {
			for x := -16; x <= 16; x++ {
				v := uint8(150)
				if max(x, -x) < 4 || y > 0 && y < 6 {
					v = 220
				}
				if math.Hypot(float64(x), 1.3*float64(y)) < 16 {
					planes[(int(at.Y)+y)*menWidth+int(at.X)+x] = v
				}
			}
		}
	}
	return planes
}

// A man in a film is followed until another who looks like him comes near, is not found where there is
// nothing, and a second look is the cache's.
func TestWay(t *testing.T) {
	const frames, snap = 100, 30
	var raw bytes.Buffer
	for n := range frames {
		raw.Write(paintMen(n))
	}
	tool, cache := findTool(t), t.TempDir()
	path := filepath.Join(t.TempDir(), "men.mp4")
	if err := tool.Run(context.Background(), []string{
		"-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", "640x360", "-r", "30", "-i", "pipe:0",
		"-c:v", "libx264", "-preset", "ultrafast", "-crf", "28", "file:" + path,
	}, &raw, nil); err != nil {
		t.Fatal(err)
	}
	span := tags.Span{In: 5, Out: frames}
	part := func(n int) tags.Point {
		first, _ := men(n)
		return tags.Point{X: first.X / menWidth, Y: first.Y / menHeight}
	}
	at := part(snap)
	way, err := Way(context.Background(), film.NewLibrary(tool, cache), path, span, snap, at)
	if err != nil {
		t.Fatal(err)
	}
	// They are a picture's twentieth apart at frame 77.
	if way.First != span.In || way.Last() < 55 || way.Last() > 77 {
		t.Errorf("followed from %d to %d", way.First, way.Last())
	}
	for n := way.First; n <= way.Last(); n++ {
		want := part(int(n))
		if got := way.At(n); math.Hypot(got.X-want.X, got.Y-want.Y) > .01 {
			t.Errorf("frame %d: at %.3f, want %.3f", n, got, want)
		}
	}
	again, err := Way(context.Background(), film.NewLibrary(ffmpeg.Tool{}, cache), path, span, snap, at)
	if err != nil || !reflect.DeepEqual(again, way) {
		t.Errorf("the cache says %v (%v), want %v", again, err, way)
	}
	edge, err := Way(context.Background(), film.NewLibrary(tool, cache), path, span, snap, tags.Point{X: .001, Y: .5})
	if err != nil || len(edge.Places) > 0 {
		t.Errorf("at the edge %v is followed (%v)", edge.Places, err)
	}
}
