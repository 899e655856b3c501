package strip

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"testing"

	xdraw "golang.org/x/image/draw"

	"trenchcut/tags"
)

var someFrames = []tags.Frame{0, 1, 2, 29, 1000, 4095, 0x55555, 0xaaaaa, Frames - 1}

// picture is a strip on a busy ground.
func picture(w, h int, n tags.Frame) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.Set(x, y, color.RGBA{uint8(x * 3), uint8(y * 5), uint8(x ^ y), 255})
		}
	}
	Draw(img, n)
	return img
}

func wantFrame(t *testing.T, img image.Image, r image.Rectangle, want tags.Frame) {
	t.Helper()
	got, err := Read(img, r)
	if err != nil || got != want {
		t.Errorf("read frame %d (%v), want %d", got, err, want)
	}
}

func TestReadWhatWasDrawn(t *testing.T) {
	for _, size := range []image.Point{{320, 180}, {640, 360}, {960, 540}, {1000, 562}, {1280, 720}} {
		for _, n := range someFrames {
			img := picture(size.X, size.Y, n)
			wantFrame(t, img, img.Bounds(), n)
		}
	}
}

func TestNumbersCountFromZeroAgain(t *testing.T) {
	img := picture(640, 360, Frames+7)
	wantFrame(t, img, img.Bounds(), 7)
}

// What a reel does to film: scaled, set in a larger picture, coded with loss.
func TestReadAfterScalingAndCoding(t *testing.T) {
	for _, to := range []image.Rectangle{
		image.Rect(0, 0, 320, 180), image.Rect(0, 0, 1280, 720), image.Rect(160, 0, 1120, 720),
		image.Rect(0, 91, 854, 571), image.Rect(33, 57, 373, 249),
	} {
		for _, quality := range []int{60, 25} {
			t.Run(fmt.Sprint(to, quality), func(t *testing.T) {
				for _, n := range []tags.Frame{29, 0x55555, 0xaaaaa} {
					house := image.NewRGBA(image.Rect(0, 0, 1280, 720))
					draw.Draw(house, house.Bounds(), image.Black, image.Point{}, draw.Src)
					from := picture(960, 540, n)
					xdraw.ApproxBiLinear.Scale(house, to, from, from.Bounds(), xdraw.Src, nil)
					var coded bytes.Buffer
					if err := jpeg.Encode(&coded, house, &jpeg.Options{Quality: quality}); err != nil {
						t.Fatal(err)
					}
					img, err := jpeg.Decode(&coded)
					if err != nil {
						t.Fatal(err)
					}
					wantFrame(t, img, to, n)
				}
			})
		}
	}
}

func TestDamagedStrip(t *testing.T) {
	for i := range blocks {
		img := picture(640, 360, 0x3a5c7)
		r := block(img.Bounds(), i)
		at := img.RGBAAt((r.Min.X+r.Max.X)/2, (r.Min.Y+r.Max.Y)/2)
		for name, shade := range map[string]color.Gray{"turned": {255 - at.R}, "grey": {128}} {
			draw.Draw(img, r, image.NewUniform(shade), image.Point{}, draw.Src)
			if n, err := Read(img, img.Bounds()); err == nil {
				t.Errorf("block %d %s: read %d, want an error", i, name, n)
			}
		}
	}
}

func TestNoStrip(t *testing.T) {
	img := picture(640, 360, 5)
	for name, r := range map[string]image.Rectangle{
		"below":      image.Rect(0, 60, 640, 360),
		"one aside":  image.Rect(20, 0, 640, 360),
		"outside":    image.Rect(0, 0, 641, 360),
		"too small":  image.Rect(0, 0, 40, 360),
		"wrong size": image.Rect(0, 0, 500, 360),
	} {
		if n, err := Read(img, r); !errors.Is(err, ErrNone) && !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: read %d (%v), want ErrNone or ErrDamaged", name, n, err)
		}
	}
}

func TestFilm(t *testing.T) {
	const w, h, frames = 320, 180, 40
	var out bytes.Buffer
	if err := Film(&out, w, h, frames); err != nil {
		t.Fatal(err)
	}
	if out.Len() != frames*w*h*4 {
		t.Fatalf("film is %d bytes, want %d frames of %d", out.Len(), frames, w*h*4)
	}
	var before []byte
	for n := range tags.Frame(frames) {
		img := &image.RGBA{Pix: out.Next(w * h * 4), Stride: w * 4, Rect: image.Rect(0, 0, w, h)}
		wantFrame(t, img, img.Rect, n)
		ground := img.Pix[w*4*(h/18+2):]
		if bytes.Equal(ground, before) {
			t.Errorf("frame %d shows the same ground as the one before", n)
		}
		before = ground
	}
}

// A cyclic code finds every burst no longer than its check, wherever it falls.
func TestCheckFindsEveryShortBurst(t *testing.T) {
	const v = 0x3a5c7
	sent := uint32(v<<checks) | crc(v)
	for at := range numbers + checks {
		for burst := uint32(1); burst < 1<<checks; burst += 2 {
			got := sent ^ burst<<at
			if got >= 1<<(numbers+checks) {
				continue
			}
			if crc(got>>checks) == got&15 {
				t.Errorf("burst %04b at %d is not found", burst, at)
			}
		}
	}
}
