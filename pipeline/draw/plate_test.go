package draw

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"testing"

	"trenchcut/pipeline/plan"
)

// quarters is a picture whose quarters are red, green, blue and white, from the top left on.
func quarters(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, quarterColours[y*2/h*2+x*2/w])
		}
	}
	return m
}

var quarterColours = []color.NRGBA{{255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}, {255, 255, 255, 255}}

// seenQuarters names the colour in the middle of each quarter of a part of m.
func seenQuarters(m image.Image, in image.Rectangle) string {
	said := ""
	for _, at := range []image.Point{{1, 1}, {3, 1}, {1, 3}, {3, 3}} {
		r, g, b, _ := m.At(in.Min.X+in.Dx()*at.X/4, in.Min.Y+in.Dy()*at.Y/4).RGBA()
		i := slices.IndexFunc(quarterColours, func(c color.NRGBA) bool {
			off := func(have uint32, want uint8) bool { return max(int(have>>8)-int(want), int(want)-int(have>>8)) > 40 }
			return !off(r, c.R) && !off(g, c.G) && !off(b, c.B)
		})
		said += "?rgbw"[i+1 : i+2]
	}
	return said
}

func pngOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func jpegOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A picture stands whole in the house picture, as wide to as high as it is, and about it is
// the ground of slates.
func TestPlateIsWhole(t *testing.T) {
	style := look(t)
	ground, err := parseColour(style.Ground)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ w, h int }{{300, 300}, {64, 400}, {480, 270}, {1000, 125}} {
		for _, house := range []plan.House{{Width: 320, Height: 180}, {Width: 180, Height: 320}} {
			fit := plan.Letterbox(c.w, c.h, house)
			m, err := Plate(pngOf(t, quarters(c.w, c.h)), fit, style, house)
			if err != nil {
				t.Fatal(err)
			}
			at := image.Rect(fit.X, fit.Y, fit.X+fit.Width, fit.Y+fit.Height)
			name := fmt.Sprintf("%d×%d in %d×%d", c.w, c.h, house.Width, house.Height)
			if got := seenQuarters(m, at); got != "rgbw" || m.Bounds().Dx() != house.Width || m.Bounds().Dy() != house.Height {
				t.Errorf("%s: quarters %s in %v", name, got, m.Bounds())
			}
			if fit.Width != house.Width && fit.Height != house.Height {
				t.Errorf("%s: %v touches no side", name, fit)
			}
			// As wide to as high, to within the two pixels that sides are rounded by.
			if off := fit.Width*c.h - fit.Height*c.w; max(off, -off) > 2*max(c.w, c.h) {
				t.Errorf("%s: stretched to %d×%d", name, fit.Width, fit.Height)
			}
			for y := range house.Height {
				for x := range house.Width {
					if !(image.Point{x, y}).In(at) && m.NRGBAAt(x, y) != ground {
						t.Fatalf("%s: %v at %d, %d beside the picture", name, m.NRGBAAt(x, y), x, y)
					}
				}
			}
		}
	}
	// What shines through shows the ground.
	m, err := Plate(pngOf(t, image.NewNRGBA(image.Rect(0, 0, 64, 36))), plan.Fit{Width: 640, Height: 360}, style, plan.House{Width: 640, Height: 360})
	if err != nil || m.NRGBAAt(320, 180) != ground {
		t.Errorf("a picture of nothing shows %v (%v)", m.NRGBAAt(320, 180), err)
	}
}

// header is a PNG of which there is nothing but the header: of so many pixels, eight bits each.
func header(w, h uint32) []byte {
	body := []byte("IHDR")
	body = binary.BigEndian.AppendUint32(body, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, 8, 0, 0, 0, 0)
	data := binary.BigEndian.AppendUint32([]byte("\x89PNG\r\n\x1a\n"), 13)
	data = append(data, body...)
	return binary.BigEndian.AppendUint32(data, crc32.ChecksumIEEE(body))
}

func TestPicturesRefused(t *testing.T) {
	good := pngOf(t, quarters(64, 64))
	photo := jpegOf(t, quarters(64, 64))
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"a bomb":              {header(60_000, 60_000), "60000×60000 pixels: want 16 to 4096 a side"},
		"a little bomb":       {header(4097, 64), "4097×64 pixels"},
		"a header alone":      {header(64, 64), "the PNG is damaged"},
		"half a PNG":          {good[:len(good)/2], "the PNG is damaged"},
		"half a JPEG":         {photo[:len(photo)/2], "the JPEG is damaged"},
		"a JPEG's beginning":  {photo[:3], "the JPEG is damaged"},
		"a dot":               {pngOf(t, quarters(2, 2)), "2×2 pixels"},
		"a strip":             {pngOf(t, quarters(400, 20)), "one side is more than 8 times the other"},
		"SVG":                 {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`), "markup such as SVG"},
		"SVG after a mark":    {[]byte("\ufeff\n<?xml version=\"1.0\"?><svg/>"), "markup such as SVG"},
		"another format":      {[]byte("GIF89a"), "neither PNG nor JPEG"},
		"nothing":             {nil, "neither PNG nor JPEG"},
		"more than there may": {append(slices.Clone(good), make([]byte, MostPicture)...), "larger than 20 MB"},
	} {
		if w, h, err := MeasurePicture(c.data); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %d×%d (%v), want %q", name, w, h, err, c.want)
		}
	}
	if w, h, err := MeasurePicture(good); w != 64 || h != 64 || err != nil {
		t.Errorf("a good one: %d×%d (%v)", w, h, err)
	}
}

// A JPEG that says how the camera was held stands upright, whichever of the eight ways.
func TestPictureUpright(t *testing.T) {
	house := plan.House{Width: 640, Height: 360}
	photo := jpegOf(t, quarters(96, 64))
	for orientation, c := range []struct {
		seen string
		w, h int
	}{
		1: {"rgbw", 96, 64},
		2: {"grwb", 96, 64},
		3: {"wbgr", 96, 64},
		4: {"bwrg", 96, 64},
		5: {"rbgw", 64, 96},
		6: {"brwg", 64, 96},
		7: {"wgbr", 64, 96},
		8: {"gwrb", 64, 96},
		9: {"rgbw", 96, 64}, // there is no such way
	} {
		if orientation == 0 {
			continue
		}
		for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
			tiff := order.AppendUint16([]byte("MM"), 42)
			if order == binary.AppendByteOrder(binary.LittleEndian) {
				tiff[0], tiff[1] = 'I', 'I'
			}
			tiff = order.AppendUint32(tiff, 8)
			tiff = order.AppendUint16(tiff, 2)
			for _, entry := range []struct{ tag, value uint16 }{{0x0100, 96}, {0x0112, uint16(orientation)}} {
				tiff = order.AppendUint16(tiff, entry.tag)
				tiff = order.AppendUint16(tiff, 3) // a short
				tiff = order.AppendUint32(tiff, 1)
				tiff = order.AppendUint16(tiff, entry.value)
				tiff = append(tiff, 0, 0)
			}
			body := append([]byte("Exif\x00\x00"), tiff...)
			data := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(body)+2))
			data = append(append(data, body...), photo[2:]...)
			w, h, err := MeasurePicture(data)
			if err != nil || w != c.w || h != c.h {
				t.Fatalf("orientation %d: %d×%d (%v), want %d×%d", orientation, w, h, err, c.w, c.h)
			}
			fit := plan.Letterbox(w, h, house)
			m, err := Plate(data, fit, look(t), house)
			if err != nil {
				t.Fatal(err)
			}
			if got := seenQuarters(m, image.Rect(fit.X, fit.Y, fit.X+fit.Width, fit.Y+fit.Height)); got != c.seen {
				t.Errorf("orientation %d: quarters %s, want %s", orientation, got, c.seen)
			}
		}
	}
}

// What is said of how a picture is turned may be cut off or point anywhere.
func FuzzOrientation(f *testing.F) {
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x20Exif\x00\x00II*\x00\x08\x00\x00\x00\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00"))
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00MM\x00*\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if n := orientation(data); n < 1 || n > 8 {
			t.Errorf("%d", n)
		}
	})
}
