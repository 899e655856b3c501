package reel

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// Beside is what is written beside a reel.
type Beside struct {
	Page     bool // a page that plays the reel, its contact sheet, chapters and captions
	Practice bool // a sheet to take to practice
	PDF      bool // the practice sheet as PDF
	Index    bool // a page of all reels in the folder
}

// Endings of the files beside a reel, in place of its own.
const (
	PageSuffix     = ".html"
	ContactSuffix  = ".png"
	ChaptersSuffix = ".vtt"
	CaptionsSuffix = ".captions.vtt"
	PracticeSuffix = ".practice.html"
	PDFSuffix      = ".practice.pdf"
)

// Suffixes is the endings of what is written.
func (b Beside) Suffixes() []string {
	var list []string
	if b.Page {
		list = append(list, ContactSuffix, ChaptersSuffix, CaptionsSuffix, PageSuffix)
	}
	if b.Practice {
		list = append(list, PracticeSuffix)
	}
	if b.PDF {
		list = append(list, PDFSuffix)
	}
	return list
}

// Stem is what the names of the files beside the reel at out begin with.
func Stem(out string) string { return strings.TrimSuffix(out, filepath.Ext(out)) }

// mayWriteBeside refuses to write beside a reel where a file is in the way that this
// program did not write.
func (m *Maker) mayWriteBeside(out string) error {
	var paths []string
	for _, suffix := range m.Beside.Suffixes() {
		paths = append(paths, Stem(out)+suffix)
	}
	err := tags.WrongRequest(files.Policy{Force: m.Force, Ours: page.IsFile}.Check(paths...))
	if err == nil && m.Beside.Index {
		err = m.mayWriteIndex(out)
	}
	return err
}

// writeBeside writes what is to lie beside the reel at out, all of it or none.
func (m *Maker) writeBeside(ctx context.Context, d *Draft, p *plan.Plan, out string) error {
	suffixes := m.Beside.Suffixes()
	if suffixes == nil {
		return nil
	}
	made, err := m.filesBeside(ctx, d, p, out)
	if err != nil {
		return fmt.Errorf("make the page of %s: %w", out, err)
	}
	var all []files.File
	for _, suffix := range suffixes {
		all = append(all, files.File{Path: Stem(out) + suffix, Data: made[suffix]})
	}
	manifest, err := render.WithBeside(out, all)
	if err != nil {
		return fmt.Errorf("write the page of %s: %w", out, err)
	}
	if err := files.WriteTogether(append(all, manifest)); err != nil {
		return fmt.Errorf("write the page of %s: %w", out, err)
	}
	return nil
}

// filesBeside is what lies beside the reel at out, by the endings of the names.
func (m *Maker) filesBeside(ctx context.Context, d *Draft, p *plan.Plan, out string) (map[string][]byte, error) {
	season := d.Session.Season
	pg, err := page.New(p, season, filepath.Base(out))
	if err != nil {
		return nil, err
	}
	made := map[string][]byte{}
	if m.Beside.Practice || m.Beside.PDF {
		if made[PracticeSuffix], err = pg.Practice(season.Vocabulary).HTML(); err != nil {
			return nil, err
		}
	}
	if m.Beside.PDF {
		pdf, err := m.Printer.PDF(ctx, made[PracticeSuffix])
		if err != nil {
			return nil, err
		}
		made[PDFSuffix] = page.MarkPDF(pdf)
	}
	if !m.Beside.Page {
		return made, nil
	}
	first, _ := p.Slates()
	look := p.Entries[first].Segment.Look
	if err := pg.Draw(look); err != nil {
		return nil, err
	}
	machine, err := d.Session.Machine()
	if err != nil {
		return nil, err
	}
	pictures, err := clipPictures(ctx, machine.Library, pg.Thumbs(), p.House, out)
	if err != nil {
		return nil, err
	}
	if made[ContactSuffix], err = contactSheet(pg, pictures, look); err != nil {
		return nil, err
	}
	if err := showClips(pg, pictures); err != nil {
		return nil, err
	}
	title, err := poster(ctx, machine.Library, p.House, out)
	if err != nil {
		return nil, err
	}
	pg.ShowPoster(title)
	if made[PageSuffix], err = pg.HTML(); err != nil {
		return nil, err
	}
	made[ChaptersSuffix], made[CaptionsSuffix] = pg.Chapters(), pg.Captions()
	return made, nil
}
