package reel

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"runtime"

	"golang.org/x/sync/errgroup"

	drawn "trenchcut/pipeline/draw"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// contactAcross is how many pictures stand beside one another on a contact sheet.
const contactAcross = 4

// posterWidth is how wide the picture is that stands where the film is, in pixels.
const posterWidth = 960

// poster is the reel's first frame as JPEG, its title.
func poster(ctx context.Context, library *film.Library, house plan.House, out string) ([]byte, error) {
	width := min(house.Width, posterWidth)
	m, err := library.KeptStill(ctx, out, 0, width/2*2, width*house.Height/house.Width/2*2)
	if err != nil {
		return nil, err
	}
	return jpegOf(m)
}

func jpegOf(m image.Image) ([]byte, error) {
	var data bytes.Buffer
	if err := jpeg.Encode(&data, m, &jpeg.Options{Quality: cardQuality}); err != nil {
		return nil, fmt.Errorf("write a picture of a clip: %w", err)
	}
	return data.Bytes(), nil
}

// clipPictures is a picture of each clip of the reel at out: of its film, with no label over
// it, or else of the reel itself.
func clipPictures(ctx context.Context, library *film.Library, of []page.Thumb, house plan.House, out string) ([]image.Image, error) {
	if _, err := library.Source(ctx, out); err != nil { // once, before all ask
		return nil, err
	}
	whole := plan.House{Width: drawn.ThumbWidth, Height: drawn.ThumbHeight}
	pictures := make([]image.Image, len(of))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.NumCPU())
	for i, t := range of {
		group.Go(func() error {
			if path, err := library.Path(ctx, t.Film); err == nil {
				if src, err := library.Source(ctx, path); err == nil {
					large := plan.House{Width: whole.Width * 100 / actionPart / 2 * 2, Height: whole.Height * 100 / actionPart / 2 * 2}
					fit := plan.Letterbox(src.Width, src.Height, large)
					if m, err := library.KeptStill(ctx, path, t.At, fit.Width, fit.Height); err == nil {
						pictures[i] = amid(framed(m, fit, large), whole)
						return nil
					}
				}
			}
			fit := plan.Letterbox(house.Width, house.Height, whole)
			m, err := library.KeptStill(ctx, out, t.Frame, fit.Width, fit.Height)
			if err == nil {
				pictures[i] = framed(m, fit, whole)
			}
			return err
		})
	}
	return pictures, group.Wait()
}

// contactSheet is the contact sheet of a reel as PNG.
func contactSheet(pg *page.Page, pictures []image.Image, look plan.Look) ([]byte, error) {
	var thumbs []drawn.Thumb
	for i, t := range pg.Thumbs() {
		thumbs = append(thumbs, drawn.Thumb{Head: t.Head, Lead: t.Lead, Lines: []string{t.Line, t.Says}, Picture: pictures[i]})
	}
	clips := tags.Count(len(thumbs), "clip")
	sheet, err := drawn.Contact(pg.Title+" · "+clips, thumbs, contactAcross, look)
	if err != nil {
		return nil, err
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, sheet); err != nil {
		return nil, fmt.Errorf("write the contact sheet: %w", err)
	}
	return page.MarkPNG(picture.Bytes())
}

// cardQuality is of the pictures on a page's cards, which are small.
const cardQuality = 70

// showClips puts pictures on the cards of a page.
func showClips(pg *page.Page, pictures []image.Image) error {
	for i, m := range pictures {
		data, err := jpegOf(m)
		if err != nil {
			return err
		}
		pg.Show(i+1, data)
	}
	return nil
}

// actionPart is how much of a film's picture a small one shows, in hundredths: the middle, in
// which cameras keep the rush.
const actionPart = 72

// amid is the middle of a picture, as large as whole.
func amid(m image.Image, whole plan.House) image.Image {
	r := image.Rect(0, 0, whole.Width, whole.Height)
	out := image.NewRGBA(r)
	size := m.Bounds().Size()
	draw.Draw(out, r, m, m.Bounds().Min.Add(image.Pt((size.X-whole.Width)/2, (size.Y-whole.Height)*55/100)), draw.Src)
	return out
}

// framed is a picture of another shape amid black, so that nothing of it is squeezed.
func framed(m image.Image, fit plan.Fit, whole plan.House) image.Image {
	if fit.Width == whole.Width && fit.Height == whole.Height {
		return m
	}
	framed := image.NewRGBA(image.Rect(0, 0, whole.Width, whole.Height))
	draw.Draw(framed, framed.Rect, image.NewUniform(color.Black), image.Point{}, draw.Src)
	draw.Draw(framed, image.Rect(fit.X, fit.Y, fit.X+fit.Width, fit.Y+fit.Height), m, m.Bounds().Min, draw.Src)
	return framed
}
