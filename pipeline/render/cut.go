package render

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

// DamagedError says that a stretch of film cannot be shown as it was filmed.
type DamagedError struct {
	Film string    // the file
	At   tags.Time // from the start of the film's own time
	Said string    // what the decoder said, or what is missing, in one line
	err  error     // of the run that failed
}

func (e *DamagedError) Error() string {
	return fmt.Sprintf("film %s is damaged %s", files.Base(e.Film), e.Where())
}

// Where is the place in the film and what was said of it: "at 0:00:16.100: h264: …".
func (e *DamagedError) Where() string { return fmt.Sprintf("at %s: %s", e.At, e.Said) }

func (e *DamagedError) Unwrap() error { return e.err }

// stretch is what a segment shows of one film, and where that film lies.
type stretch struct {
	of   plan.Segment
	path string
}

// stretches is those of s: none of a slate, two where a film is below another.
func stretches(s plan.Segment, slots ffmpeg.Slots) []stretch {
	if s.Kind != plan.Film {
		return nil
	}
	list := []stretch{{s, slots.Film}}
	if s.Below != nil {
		list = append(list, stretch{plan.Segment{Source: s.Below.Source, Span: s.Below.Span}, slots.Below})
	}
	return list
}

// cutting is the work on the movie of one segment.
type cutting struct {
	*Local
	segment  plan.Segment
	slots    ffmpeg.Slots // the movie is to be at slots.Out
	dir      string       // for what is needed on the way
	progress func(tags.Frame)
	lacks    []lack // what was found to be missing from the film
}

// cut makes the movie.
//
// What ffmpeg makes of film is taken where it complained of nothing and made as many frames
// as the segment has. Else the film's pictures are decoded by themselves, from earlier and
// earlier, until the span's first picture and the group of pictures before its own are there.
// What is still complained of then is damage. The segment is made anew where the pictures
// depend on where the film is opened, and with silence where its sound cannot be decoded.
func (c *cutting) cut(ctx context.Context) error {
	s := c.segment
	if s.Damaged {
		return c.cutDamaged(ctx)
	}
	failed := c.run(ctx)
	if failed == nil || s.Kind != plan.Film || !aboutFilm(ctx, failed) {
		return failed
	}
	if c.Stretches {
		return fmt.Errorf("%w: %w", ErrAtHome, failed)
	}
	var heard []*ffmpeg.Witness // of the runs that the movie was made by
	var gaps []lack
	opened := false
	for i, st := range stretches(s, c.slots) {
		earlier := []*tags.Time{&c.slots.Earlier, &c.slots.EarlierBelow}[i]
		found, err := c.Tool.Examine(ctx, st.of, st.path, filepath.Join(c.dir, "hash"))
		if err != nil {
			return err
		}
		if d := found.Damage; d != nil {
			return &DamagedError{st.path, d.At, d.Said, failed}
		}
		*earlier, heard = found.Earlier, append(heard, found.Heard)
		gaps = append(gaps, missing(st.path, found.Gaps)...)
		opened = opened || *earlier > 0
	}
	if opened {
		c.log().Info("opened earlier", "film", c.slots.Film, "seconds", max(c.slots.Earlier, c.slots.EarlierBelow).Seconds())
		if failed = c.run(ctx); failed == nil || !aboutFilm(ctx, failed) {
			return failed
		}
	}
	c.lacks = append(c.lacks, gaps...)
	return c.amendSound(ctx, heard, failed)
}

// cutDamaged makes the movie of a segment whose film is known to be damaged, of what decodes
// of it. It fails where nothing does.
func (c *cutting) cutDamaged(ctx context.Context) error {
	s := c.segment
	for i, st := range stretches(s, c.slots) {
		found, err := c.Tool.Examine(ctx, st.of, st.path, "")
		if err != nil {
			return err
		}
		*[]*tags.Time{&c.slots.Earlier, &c.slots.EarlierBelow}[i] = found.Earlier
	}
	err := c.run(ctx)
	if err == nil || !errors.Is(err, ffmpeg.ErrComplained) {
		return err
	}
	_, err = verify(c.slots.Out, s)
	return err
}

// aboutFilm reports whether the film may be why a run failed.
func aboutFilm(ctx context.Context, err error) bool {
	var run *ffmpeg.Error
	if ctx.Err() != nil || errors.Is(err, ffmpeg.ErrFull) || errors.Is(err, ffmpeg.ErrStuck) {
		return false
	}
	return errors.Is(err, errCount) || errors.As(err, &run) && !run.Again
}

// run makes the movie of a segment once. It fails with errCount where the movie does not
// hold what the segment has.
func (c *cutting) run(ctx context.Context) error {
	s := c.segment
	args, err := ffmpeg.SegmentArgs(s, c.slots)
	if err != nil {
		return err
	}
	repeats, err := c.Tool.RunSegment(ctx, args, c.progress)
	if err != nil {
		if ctx.Err() == nil { // or it is another segment's error, because of which this one was stopped
			err = byHand(err, s, c.slots)
		}
		return err
	}
	if _, err = verify(c.slots.Out, s); err != nil || !repeats || s.Damaged {
		return err
	}
	return c.lookForGaps(ctx)
}

// lookForGaps finds where the films of the segment lack pictures.
func (c *cutting) lookForGaps(ctx context.Context) error {
	for i, st := range stretches(c.segment, c.slots) {
		earlier := []tags.Time{c.slots.Earlier, c.slots.EarlierBelow}[i]
		w, err := c.Tool.Testify(ctx, st.of, st.path, earlier, "")
		if err != nil {
			return err
		}
		c.lacks = append(c.lacks, missing(st.path, w.Gaps())...)
	}
	return nil
}

// amendSound finishes a segment whose pictures are right although a run failed. Complaints about
// pictures that are not shown are passed over. Where the sound cannot be decoded, silence takes the
// place of that part, or of all sound where the run failed for it.
func (c *cutting) amendSound(ctx context.Context, pictures []*ffmpeg.Witness, failed error) error {
	s := c.segment
	// The run may have read on for longer than those that stopped with the span.
	whole, err := c.Tool.Testify(ctx, s, c.slots.Film, c.slots.Earlier, "")
	if err != nil {
		return err
	}
	pictures = append(pictures, whole)
	if ffmpeg.Explains(failed, pictures...) {
		_, err := verify(c.slots.Out, s)
		return err
	}
	if s.Source.Audio < 0 || errors.Is(failed, errCount) {
		return failed
	}
	sound, err := c.Tool.TestifySound(ctx, s, c.slots.Film, c.slots.Earlier)
	if err != nil {
		return err
	}
	if ffmpeg.Explains(failed, append(pictures, sound)...) {
		if sound.Within() {
			c.lackSound("some of it cannot be decoded: silence there")
		}
		_, err := verify(c.slots.Out, s)
		return err
	}
	if !sound.Complained() {
		return failed
	}
	c.slots.Silent = true
	if err := c.run(ctx); err != nil && !ffmpeg.Explains(err, pictures...) {
		return failed
	}
	c.lackSound("it cannot be decoded: silence")
	_, err = verify(c.slots.Out, s)
	return err
}

func (c *cutting) lackSound(why string) {
	clock, span := c.segment.Source.Clock(), c.segment.Span
	c.lacks = append(c.lacks, lack{Film: files.Base(c.slots.Film), At: clock.At(span.In), To: clock.At(span.Out), Sound: why})
}
