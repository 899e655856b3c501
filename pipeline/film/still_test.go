package film_test

import (
	"context"
	"image/color"
	"path/filepath"
	"testing"
)

// A still of high definition shows black as black and white as white.
func TestStillIsBlackAndWhite(t *testing.T) {
	t.Parallel()
	library, tool := newLibrary(t, "")
	path := filepath.Join(t.TempDir(), "film.mp4")
	makeFilm(t, tool, path, "-f", "lavfi", "-i", "color=black:s=1280x720:r=25,drawbox=x=640:w=640:h=720:color=white:t=fill", "-frames:v", "5", "-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p")
	src, err := library.Source(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	still, err := tool.Still(context.Background(), src, path, 2, 320, 180)
	if err != nil {
		t.Fatal(err)
	}
	black, white := color.GrayModel.Convert(still.At(80, 90)).(color.Gray).Y, color.GrayModel.Convert(still.At(240, 90)).(color.Gray).Y
	if black > 4 || white < 251 {
		t.Errorf("black is %d and white %d, want 0 and 255", black, white)
	}
}
