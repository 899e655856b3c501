package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/content"
	drawn "trenchcut/pipeline/draw"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Endings of the files beside a reel, in place of its own.
const (
	pageSuffix     = ".html"
	contactSuffix  = ".png"
	chaptersSuffix = ".vtt"
	captionsSuffix = ".captions.vtt"
	practiceSuffix = ".practice.html"
	pdfSuffix      = ".practice.pdf"
)

// beside is the endings of what was asked for beside the reel.
func (o *reelOptions) beside() []string {
	var list []string
	if o.page {
		list = append(list, contactSuffix, chaptersSuffix, captionsSuffix, pageSuffix)
	}
	if o.practice {
		list = append(list, practiceSuffix)
	}
	if o.pdf {
		list = append(list, pdfSuffix)
	}
	return list
}

// makeWithPage is make, and then what was asked for beside the reel. A file in the way is
// told of before the work.
func (o *reelOptions) makeWithPage(ctx context.Context, season *tags.Season, p *plan.Plan, out string) error {
	if err := o.mayWriteBeside(out); err != nil {
		return err
	}
	if err := o.make(ctx, p, out); err != nil {
		return err
	}
	if err := o.writeBeside(ctx, season, p, out); err != nil {
		return err
	}
	stem := stemOf(out)
	if o.practice {
		also := ""
		if o.pdf {
			also = "; beside it " + filepath.Base(stem+pdfSuffix)
		}
		if _, err := fmt.Fprintf(o.streams.Out, "%s: practice sheet of %s%s\n", stem+practiceSuffix, filepath.Base(out), also); err != nil {
			return err
		}
	}
	if !o.page {
		return nil
	}
	_, err := fmt.Fprintf(o.streams.Out, "%s: page of %s; beside it %s, %s and %s\n", stem+pageSuffix, filepath.Base(out),
		filepath.Base(stem+contactSuffix), filepath.Base(stem+chaptersSuffix), filepath.Base(stem+captionsSuffix))
	return err
}

// stemOf is what the names of the files beside a reel begin with.
func stemOf(out string) string { return strings.TrimSuffix(out, filepath.Ext(out)) }

// mayWriteBeside refuses to where a file of another's is in the way.
func (o *reelOptions) mayWriteBeside(out string) error {
	var wrong []error
	for _, suffix := range o.beside() {
		wrong = append(wrong, o.mayReplace(stemOf(out)+suffix))
	}
	if err := errors.Join(wrong...); err != nil {
		return usageError{err, "trenchcut reel"}
	}
	return nil
}

// writeBeside writes what was asked for beside the reel at out, all of it or none.
func (o *reelOptions) writeBeside(ctx context.Context, season *tags.Season, p *plan.Plan, out string) error {
	beside := o.beside()
	if beside == nil {
		return nil
	}
	made, err := o.pageFiles(ctx, season, p, out)
	if err != nil {
		return fmt.Errorf("the page of %s: %w", out, err)
	}
	var files []content.File
	for _, suffix := range beside {
		files = append(files, content.File{Path: stemOf(out) + suffix, Data: made[suffix]})
	}
	if err := content.WriteTogether(files, 0o666); err != nil {
		return fmt.Errorf("write the page of %s: %w", out, err)
	}
	return nil
}

// mayReplace refuses a file of another's.
func (o *reelOptions) mayReplace(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return fmt.Errorf("%s is in the way of the page and is no plain file", path)
	case o.force:
		return nil
	}
	if info.Size() <= mostInWay {
		if data, err := os.ReadFile(path); err == nil && page.IsOurs(data) {
			return nil
		}
	}
	return fmt.Errorf("%s is in the way of the page and is not one that reel wrote; --force replaces it", path)
}

// pageFiles is what goes beside the reel at out, by the endings of the names.
func (o *reelOptions) pageFiles(ctx context.Context, season *tags.Season, p *plan.Plan, out string) (map[string][]byte, error) {
	pg, err := page.New(p, season, filepath.Base(out))
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{}
	if o.practice {
		if files[practiceSuffix], err = pg.Practice(season.Vocabulary).HTML(); err != nil {
			return nil, err
		}
	}
	if o.pdf {
		pdf, err := o.printer.PDF(ctx, files[practiceSuffix])
		if err != nil {
			return nil, err
		}
		files[pdfSuffix] = page.MarkPDF(pdf)
	}
	if !o.page {
		return files, nil
	}
	first, _ := p.Slates()
	look := p.Entries[first].Segment.Look
	if err := addCharts(pg, look); err != nil {
		return nil, err
	}
	if files[pageSuffix], err = pg.HTML(); err != nil {
		return nil, err
	}
	if files[contactSuffix], err = o.reelContact(ctx, pg, look, p.House, out); err != nil {
		return nil, err
	}
	files[chaptersSuffix], files[captionsSuffix] = pg.Chapters(), pg.Captions()
	return files, nil
}

// addCharts draws each table of the page that has rates to compare.
func addCharts(pg *page.Page, look plan.Look) error {
	for i := range pg.Tables {
		t := &pg.Tables[i]
		shares := t.Drawn()
		if shares == nil {
			continue
		}
		scene, err := drawn.Rates{Title: t.Title, Shares: shares}.Scene(drawn.Phone, drawn.PaperLook(look))
		if err != nil {
			return err
		}
		var svg bytes.Buffer
		if err := scene.SVG(&svg); err != nil {
			return err
		}
		if err := t.Draw(svg.Bytes()); err != nil {
			return err
		}
	}
	return nil
}

// reelThumbsAcross is how many pictures stand beside one another.
const reelThumbsAcross = 4

// reelContact is the reel's contact sheet as PNG, its pictures taken from the reel itself.
func (o *reelOptions) reelContact(ctx context.Context, pg *page.Page, look plan.Look, house plan.House, out string) ([]byte, error) {
	of := pg.Thumbs()
	thumbs := make([]drawn.Thumb, len(of))
	library := o.choose.season.shop.library
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
		thumbs[i] = drawn.Thumb{Lead: t.Lead, Line: t.Line}
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
	sheet, err := drawn.Contact(fmt.Sprintf("%s · %s", pg.Title, plural(len(thumbs), "clip")), thumbs, reelThumbsAcross, look)
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
