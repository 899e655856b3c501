package outline

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"path/filepath"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// thumbsAcross is how many pictures stand in a row, a whole number of plays of two or three
// angles.
const thumbsAcross = 6

// ContactSheet is a PNG with pictures of every shot, how the men line up and both its ends, under
// the play it is taken for.
// progress may be nil.
func (p *Proposal) ContactSheet(ctx context.Context, library *film.Library, progress Progress) ([]byte, error) {
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return nil, err
	}
	thumbs, shots := p.thumbs()
	var group errgroup.Group
	group.SetLimit(runtime.NumCPU())
	done := make(chan struct{}, len(shots))
	for i, s := range shots {
		group.Go(func() error {
			err := s.fill(ctx, library, &thumbs[i])
			done <- struct{}{}
			return err
		})
	}
	for i := range shots {
		<-done
		progress.tell(Picturing, tags.Frame(i+1), tags.Frame(len(shots)))
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	title := fmt.Sprintf("%s: is each play under its own number?", filepath.Base(p.File))
	m, err := draw.Contact(title, thumbs, thumbsAcross, recipe.Look)
	if err != nil {
		return nil, err
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, m); err != nil {
		return nil, fmt.Errorf("draw the contact sheet: %w", err)
	}
	return picture.Bytes(), nil
}

// fill puts the pictures of s into t: how the men line up, and below it both ends of s. They were
// kept while the film was looked through; only of a shot too short for that is film read.
func (s *Shot) fill(ctx context.Context, library *film.Library, t *draw.Thumb) (err error) {
	if s.Formation == nil {
		t.Picture, err = library.Still(ctx, s.File, (s.Span.In+s.Span.Out)/2, draw.ThumbWidth, draw.ThumbHeight)
		return err
	}
	if t.Picture, err = s.Formation.Picture(); err != nil {
		return err
	}
	for _, end := range []*watch.Still{s.Begin, s.End} {
		m, err := end.Picture()
		if err != nil {
			return err
		}
		t.Ends = append(t.Ends, m)
	}
	return nil
}

// thumbs is the pictures of the contact sheet, still blank, and the shot of each: the plays
// in order, and a shot that is left out where it comes on its film.
func (p *Proposal) thumbs() (thumbs []draw.Thumb, shots []*Shot) {
	left := p.Unused()
	add := func(s *Shot, lead, place string, out, doubt bool) {
		where := files.Base(s.File)
		if !s.Clip {
			at := s.Source.Clock().At(s.Span.In).String()
			where = at[:len(at)-len(".000")]
		}
		lines := []string{place, fmt.Sprintf("shot %d · %s · %s", s.ID, s.Angle, where)}
		if place == "" {
			lines = lines[1:]
		}
		thumbs = append(thumbs, draw.Thumb{Lead: lead, Lines: lines, Out: out, Doubt: doubt})
		shots = append(shots, s)
	}
	for _, play := range p.Plays {
		first := play.Shots[0]
		for len(left) > 0 && left[0].footage == first.footage && left[0].ID < first.ID {
			add(left[0], left[0].Why(), "", true, false)
			left = left[1:]
		}
		doubt := play.Doubt() != ""
		mark := ""
		if doubt {
			mark = "?"
		}
		lead := strings.TrimSuffix(fmt.Sprintf("play %d%s · %s", play.Number, mark, play.call()), " · ")
		for _, s := range play.Shots {
			add(s, lead, play.place(), false, doubt)
		}
	}
	for _, s := range left {
		add(s, s.Why(), "", true, false)
	}
	return thumbs, shots
}
