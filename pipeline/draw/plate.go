package draw

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	scaling "golang.org/x/image/draw"

	"trenchcut/pipeline/plan"
)

// What a picture of the staff's own may be: so much fits on any reel many times over, and
// is unpacked in a moment.
const (
	MostPicture   = 20 << 20 // bytes of the file
	plateMost     = 4096     // pixels
	plateLeast    = 16
	mostElongated = 8 // times as long as wide, or as wide as long
)

// MeasurePicture is the size of a PNG or JPEG picture in pixels, as it is shown. Its header is read
// first, so that a small file that would unpack to a huge picture is refused unopened; then
// it is decoded, so that a damaged one is known of before any work.
func MeasurePicture(data []byte) (width, height int, err error) {
	m, err := decodePicture(data)
	if err != nil {
		return 0, 0, err
	}
	return m.Bounds().Dx(), m.Bounds().Dy(), nil
}

func decodePicture(data []byte) (image.Image, error) {
	config, decode, kind := png.DecodeConfig, png.Decode, "PNG"
	switch {
	case len(data) > MostPicture:
		return nil, fmt.Errorf("the file is larger than %d MB", MostPicture>>20)
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		config, decode, kind = jpeg.DecodeConfig, jpeg.Decode, "JPEG"
	case bytes.HasPrefix(bytes.TrimLeft(data, "\ufeff \t\r\n"), []byte("<")):
		return nil, errors.New("it is no PNG or JPEG but markup such as SVG, which is not drawn: save it as PNG")
	default:
		return nil, errors.New("it is neither PNG nor JPEG: save it as one of these")
	}
	c, err := config(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the %s is damaged: %w", kind, err)
	}
	long, short := max(c.Width, c.Height), min(c.Width, c.Height)
	switch {
	case long > plateMost || short < plateLeast:
		return nil, fmt.Errorf("it is %d×%d pixels: want %d to %d a side", c.Width, c.Height, plateLeast, plateMost)
	case long > short*mostElongated:
		return nil, fmt.Errorf("it is %d×%d pixels: one side is more than %d times the other", c.Width, c.Height, mostElongated)
	}
	m, err := decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the %s is damaged: %w", kind, err)
	}
	if kind == "JPEG" {
		return turnedUpright(m, orientation(data)), nil
	}
	return m, nil
}

// Plate draws a picture of the staff's own where fit places it, whole, amid the ground of
// slates. Only what is seen of it goes on: no name, date or place that the file holds.
func Plate(data []byte, fit plan.Fit, look plan.Look, house plan.House) (*image.NRGBA, error) {
	colours, err := coloursFor(look, house)
	if err != nil {
		return nil, fmt.Errorf("drawing a picture: %w", err)
	}
	m, err := decodePicture(data)
	if err != nil {
		return nil, fmt.Errorf("drawing a picture: %w", err)
	}
	whole := image.NewRGBA(image.Rect(0, 0, house.Width, house.Height))
	at := image.Rect(fit.X, fit.Y, fit.X+fit.Width, fit.Y+fit.Height)
	if at.Empty() || !at.In(whole.Rect) {
		return nil, fmt.Errorf("drawing a picture: it does not lie within %dx%d", house.Width, house.Height)
	}
	fill(whole, whole.Rect, colours.ground)
	scaling.CatmullRom.Scale(whole, at, m, m.Bounds(), scaling.Over, nil)
	return straight(whole), nil
}
