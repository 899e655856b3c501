package reel

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"runtime"

	"golang.org/x/sync/errgroup"

	drawn "trenchcut/pipeline/draw"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
)

// contactAcross is how many pictures stand beside one another on a contact sheet.
const contactAcross = 4

// contactSheet is the contact sheet of the reel at out as PNG. Its pictures are frames of
// the reel itself.
func contactSheet(ctx context.Context, library *film.Library, pg *page.Page, look plan.Look, house plan.House, out string) ([]byte, error) {
	of := pg.Thumbs()
	thumbs := make([]drawn.Thumb, len(of))
	whole := plan.House{Width: drawn.ThumbWidth, Height: drawn.ThumbHeight}
	if house.Width <= house.Height { // upright or square, and shown as large
		whole.Height = min(drawn.ThumbWidth*house.Height/house.Width/2*2, 2*drawn.ThumbWidth)
	}
	fit := plan.Letterbox(house.Width, house.Height, whole)
	if _, err := library.Source(ctx, out); err != nil { // once, before all ask
		return nil, err
	}
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.NumCPU())
	for i, t := range of {
		thumbs[i] = drawn.Thumb{Lead: t.Lead, Lines: []string{t.Line}}
		group.Go(func() error {
			m, err := library.Still(ctx, out, t.Frame, fit.Width, fit.Height)
			if err != nil {
				return err
			}
			thumbs[i].Picture = framed(m, fit, whole)
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	clips := fmt.Sprintf("%d clips", len(thumbs))
	if len(thumbs) == 1 {
		clips = "1 clip"
	}
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
