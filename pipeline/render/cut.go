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

// cut makes the movie of a segment at slots.Out.
//
// What ffmpeg makes of film is taken where it complained of nothing and made as many frames
// as the segment has. Else the film's pictures are decoded by themselves, from earlier and
// earlier, until the span's first picture and the group of pictures before its own are there.
// What is still complained of then is damage. The segment is made anew where the pictures
// depend on where the film is opened, and with silence where its sound cannot be decoded.
func (l *Local) cut(ctx context.Context, s plan.Segment, slots ffmpeg.Slots, dir string, progress func(tags.Frame)) error {
	if s.Damaged {
		return l.cutDamaged(ctx, s, slots, progress)
	}
	failed := l.run(ctx, s, slots, progress)
	if failed == nil || s.Kind != plan.Film || !aboutFilm(ctx, failed) {
		return failed
	}
	var heard []*ffmpeg.Witness // of the runs that the movie was made by
	gaps := map[string][]ffmpeg.Gap{}
	opened := false
	for i, st := range stretches(s, slots) {
		earlier := []*tags.Time{&slots.Earlier, &slots.EarlierBelow}[i]
		found, err := l.Tool.Examine(ctx, st.of, st.path, filepath.Join(dir, "hash"))
		if err != nil {
			return err
		}
		if d := found.Damage; d != nil {
			return &DamagedError{st.path, d.At, d.Said, failed}
		}
		*earlier, heard = found.Earlier, append(heard, found.Heard)
		gaps[st.path] = found.Gaps
		opened = opened || *earlier > 0
	}
	if opened {
		l.log().Info("opened earlier", "film", slots.Film, "seconds", max(slots.Earlier, slots.EarlierBelow).Seconds())
		if failed = l.run(ctx, s, slots, progress); failed == nil || !aboutFilm(ctx, failed) {
			return failed
		}
	}
	if err := l.amendSound(ctx, s, slots, heard, failed, progress); err != nil {
		return err
	}
	for path, list := range gaps {
		l.tellOfGaps(path, list)
	}
	return nil
}

// cutDamaged makes the movie of a segment whose film is known to be damaged, of what decodes
// of it. It fails where nothing does.
func (l *Local) cutDamaged(ctx context.Context, s plan.Segment, slots ffmpeg.Slots, progress func(tags.Frame)) error {
	for i, st := range stretches(s, slots) {
		found, err := l.Tool.Examine(ctx, st.of, st.path, "")
		if err != nil {
			return err
		}
		*[]*tags.Time{&slots.Earlier, &slots.EarlierBelow}[i] = found.Earlier
	}
	err := l.run(ctx, s, slots, progress)
	if err == nil || !errors.Is(err, ffmpeg.ErrComplained) {
		return err
	}
	_, err = verify(slots.Out, s)
	return err
}

// aboutFilm reports whether a run may have failed of the film that it read.
func aboutFilm(ctx context.Context, err error) bool {
	var run *ffmpeg.Error
	if ctx.Err() != nil || errors.Is(err, ffmpeg.ErrFull) || errors.Is(err, ffmpeg.ErrStuck) {
		return false
	}
	return errors.Is(err, errCount) || errors.As(err, &run) && !run.Again
}

// run makes the movie of a segment once. It fails with errCount where the movie does not
// hold what the segment has.
func (l *Local) run(ctx context.Context, s plan.Segment, slots ffmpeg.Slots, progress func(tags.Frame)) error {
	args, err := ffmpeg.SegmentArgs(s, slots)
	if err != nil {
		return err
	}
	repeats, err := l.Tool.RunSegment(ctx, args, progress)
	if err != nil {
		if ctx.Err() == nil { // or it is another segment's error, because of which this one was stopped
			err = byHand(err, s, slots)
		}
		return err
	}
	if _, err = verify(slots.Out, s); err != nil || !repeats || s.Damaged {
		return err
	}
	return l.lookForGaps(ctx, s, slots)
}

// lookForGaps tells where the films of a segment lack pictures.
func (l *Local) lookForGaps(ctx context.Context, s plan.Segment, slots ffmpeg.Slots) error {
	for i, st := range stretches(s, slots) {
		earlier := []tags.Time{slots.Earlier, slots.EarlierBelow}[i]
		w, err := l.Tool.Testify(ctx, st.of, st.path, earlier, "")
		if err != nil {
			return err
		}
		l.tellOfGaps(st.path, w.Gaps())
	}
	return nil
}

// tellOfGaps tells where a film lacks pictures, for which the one before stands.
func (l *Local) tellOfGaps(path string, gaps []ffmpeg.Gap) {
	for _, gap := range gaps {
		l.log().Warn("pictures missing", "film", files.Base(path), "at", gap.At.String(), "frames", int64(gap.Frames), "instead", "the one before stays")
	}
}

// amendSound is the end of a segment whose pictures are right, though a run of it failed.
// Nothing is amiss where all that was said is about pictures that are not shown. Where the
// film's sound was complained of, silence stands for what could not be decoded of it; where
// it made the run fail, for all of it.
func (l *Local) amendSound(ctx context.Context, s plan.Segment, slots ffmpeg.Slots, pictures []*ffmpeg.Witness, failed error, progress func(tags.Frame)) error {
	// The run may have read on for longer than those that stopped with the span.
	whole, err := l.Tool.Testify(ctx, s, slots.Film, slots.Earlier, "")
	if err != nil {
		return err
	}
	pictures = append(pictures, whole)
	if ffmpeg.Explains(failed, pictures...) {
		_, err := verify(slots.Out, s)
		return err
	}
	if s.Source.Audio < 0 || errors.Is(failed, errCount) {
		return failed
	}
	sound, err := l.Tool.TestifySound(ctx, s, slots.Film, slots.Earlier)
	if err != nil {
		return err
	}
	if ffmpeg.Explains(failed, append(pictures, sound)...) {
		if sound.Within() {
			l.tellOfSound(s, slots, "some of it cannot be decoded: silence there")
		}
		_, err := verify(slots.Out, s)
		return err
	}
	if !sound.Complained() {
		return failed
	}
	slots.Silent = true
	if err := l.run(ctx, s, slots, progress); err != nil && !ffmpeg.Explains(err, pictures...) {
		return failed
	}
	l.tellOfSound(s, slots, "it cannot be decoded: silence")
	_, err = verify(slots.Out, s)
	return err
}

func (l *Local) tellOfSound(s plan.Segment, slots ffmpeg.Slots, what string) {
	clock := s.Source.Clock()
	l.log().Warn("sound", "film", files.Base(slots.Film), "from", clock.At(s.Span.In).String(), "to", clock.At(s.Span.Out).String(), "why", what)
}
