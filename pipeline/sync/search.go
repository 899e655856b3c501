package sync

import (
	"context"
	"errors"
	"runtime"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/watch"
	"trenchcut/tags"
)

// search is what a finding starts from.
type search struct {
	first, film tags.Film // of the first angle and of the finding's own
	nudge       tags.Frame

	// Of a whole film.
	moments []Moment // marked on both
	written bool     // an offset is there and stays, apart from the nudge

	// Of a play.
	one, other tags.View // on the first angle and on the finding's own
	toFirst    bool      // the snap is wanted on the first angle
	hasGuess   bool      // a guess is there, to be replaced by what is found
	base       *Finding  // finds the snap on the first angle, where there is none
}

// on is the view on which the snap is wanted.
func (s *search) on() tags.View {
	if s.toFirst {
		return s.one
	}
	return s.other
}

// marked reports whether somebody marked the snap of a play on an angle.
func marked(p *tags.Play, v tags.View) bool { return v.Snaps && !p.Guesses().Snap(v.Angle) }

// finder finds what puts angles in step.
type finder struct {
	library *film.Library
	films   map[string]plan.Source
	counter

	// The sound of the first angle's whole film, kept from one finding to the next.
	sound     *film.Sound
	soundFile string
}

// searches is what is to be found in g, nothing of it found yet.
func (f *finder) searches(g *tags.Game, req Request, marks []map[string]tags.Time) []*Finding {
	if len(g.Films) == 0 {
		return nil
	}
	var list []*Finding
	first := g.Films[0]
	for _, other := range g.Films[1:] {
		yes, moments := f.runsOn(g, other)
		for _, m := range marks {
			one, inOne := m[first.Angle]
			two, inTwo := m[other.Angle]
			if inOne && inTwo {
				moments = append(moments, Moment{First: one, Other: two})
				yes = true
			}
		}
		if yes {
			list = append(list, &Finding{Angle: other.Angle, On: other.Angle, search: search{
				first: first, film: other, nudge: req.Nudges[other.Angle], moments: moments, written: other.Offset != nil && !req.Again,
			}})
		}
	}
	for _, p := range g.Plays {
		list = append(list, searchesOfPlay(p, req.Nudges)...)
	}
	return list
}

// runsOn reports whether the film of an angle is taken to run on beside the first angle's:
// no play has times of its own on it, or the snaps of those that have are in step. Moments
// are the snaps marked on both.
func (f *finder) runsOn(g *tags.Game, other tags.Film) (yes bool, moments []Moment) {
	first := g.Films[0]
	if other.File == "" || first.File == "" || other.File == first.File {
		return false, nil
	}
	timed, lacking := 0, len(g.Plays) == 0
	for _, p := range g.Plays {
		if !p.Timed(other.Angle) {
			lacking = lacking || p.Timed(first.Angle)
			continue
		}
		timed++
		one, errOne := p.View(first.Angle)
		two, errTwo := p.View(other.Angle)
		if errors.Join(errOne, errTwo) == nil && marked(p, one) && marked(p, two) &&
			one.File == first.File && two.File == other.File {
			moments = append(moments, Moment{First: one.Snap, Other: two.Snap})
		}
	}
	if timed > 0 {
		_, err := InStep(moments, f.films[other.File].Rate.Duration(1))
		return lacking && err == nil, moments
	}
	return lacking, moments
}

// searchesOfPlay is where to find the snaps of a play that are not marked: on the first
// angle from another where it is marked, or else from what moves; on the others from the
// first.
func searchesOfPlay(p *tags.Play, nudges map[string]tags.Frame) []*Finding {
	first := p.Game.Films[0]
	one, err := p.View(first.Angle)
	if err != nil || !p.Timed(first.Angle) {
		return nil
	}
	var base *Finding
	var rest []*Finding
	for _, film := range p.Game.Films[1:] {
		other, err := p.View(film.Angle)
		if err != nil || !p.Timed(film.Angle) || one.File == other.File {
			continue
		}
		f := &Finding{Angle: film.Angle, On: film.Angle, Play: p, search: search{
			first: first, film: film, nudge: nudges[film.Angle], one: one, other: other,
		}}
		switch {
		case !marked(p, other):
			f.search.hasGuess = other.Snaps
			rest = append(rest, f)
		case !marked(p, one) && base == nil:
			f.On, f.search.toFirst, f.search.hasGuess = first.Angle, true, one.Snaps
			base = f
		}
	}
	if base == nil && !one.Snaps && len(rest) > 0 {
		base = &Finding{Angle: first.Angle, On: first.Angle, Play: p, search: search{first: first, film: first, one: one, other: one}}
	}
	if base == nil {
		return rest
	}
	for _, f := range rest {
		f.search.base = base
	}
	return append([]*Finding{base}, rest...)
}

// find does the searches: of whole films one after another, since they hold much sound,
// then of plays side by side. It fails only where ctx is done.
func (f *finder) find(ctx context.Context, all []*Finding) error {
	for _, finding := range all {
		if finding.Play == nil {
			finding.fail(f.findOffset(ctx, finding))
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	f.sound = nil // plays are heard by themselves
	for _, based := range []bool{false, true} {
		group, inGroup := errgroup.WithContext(ctx)
		group.SetLimit(runtime.GOMAXPROCS(0))
		for _, finding := range all {
			if finding.Play != nil && (finding.search.base != nil) == based {
				group.Go(func() error {
					finding.fail(f.findSnap(inGroup, finding))
					return context.Cause(inGroup)
				})
			}
		}
		if err := group.Wait(); err != nil {
			return err
		}
	}
	return nil
}

// fail notes why nothing was found.
func (f *Finding) fail(err error) {
	f.Err, f.Failed = err, err != nil && !inDoubt(err)
}

// inDoubt reports whether err says that the film does not tell, and not that the work failed, as
// when ffmpeg was killed. Sound that ffmpeg decodes with complaints is damaged and tells nothing
// sure.
func inDoubt(err error) bool {
	return errors.Is(err, ErrUnsure) || errors.Is(err, watch.ErrNoSnap) || errors.Is(err, ffmpeg.ErrComplained)
}

// doubt is why a film does not tell. It is an [ErrUnsure] that says more than that.
type doubt string

func (d doubt) Error() string        { return string(d) }
func (d doubt) Is(target error) bool { return target == ErrUnsure }

// frames is how many frames of film a search hears or sees.
func (f *finder) frames(finding *Finding) tags.Frame {
	s := &finding.search
	if finding.Play == nil {
		if s.written || len(s.moments) > 1 {
			return 0
		}
		return f.films[s.first.File].Frames + f.films[s.film.File].Frames
	}
	n := f.span(s.other).Len()
	if finding.Angle != s.first.Angle {
		n += f.span(s.one).Len()
	}
	return n
}

// span is the frames of a play on one angle.
func (f *finder) span(v tags.View) tags.Span {
	src := f.films[v.File]
	clock := src.Clock()
	span := tags.Span{In: clock.FrameAt(v.In), Out: src.Frames}
	if !v.ToEnd {
		span.Out = clock.FrameAt(v.Out)
	}
	return span
}
