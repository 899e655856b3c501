package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"

	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// syncJob is one thing to be put in step: an angle's film as a whole, or one play on it.
type syncJob struct {
	game         *tags.Game
	first, angle tags.Film
	nudge        tags.Frame

	// Of film that runs on.
	moments []film.Moment
	written bool // an offset is there and stays, but for the nudge

	// Of a play.
	play       *tags.Play
	one, other tags.View // on the first angle, and on this one
	toFirst    bool      // the snap is wanted on the first angle
	replaced   bool      // in the place of a guess
	base       *syncJob  // finds the snap on the first angle, where none is marked
	guess      string    // what is written of a snap that is a guess
	set        tags.Time // the offset, or the snap
	drift      int       // parts in a million
	lag        film.Lag
	byEar      bool
	how        string
	moved      string // the angle that was nudged
	err        error  // it is not sure, or cannot be heard
	stays      bool   // there is nothing to write
}

// guessKey is under which extra of a play it stands that its snap is a guess from what
// moves: "snap", or "sideline snap" where it is a guess on that angle alone.
const guessKey = "guess"

// guessed reports whether the play's snap was guessed, on any angle.
func guessed(p *tags.Play) bool { return strings.Contains(p.Extra[guessKey], string(tags.Snap)) }

// guessOn is what is written of a snap that is a guess on one angle alone.
func guessOn(angle string) string { return angle + " " + string(tags.Snap) }

// runsOn reports whether film of an angle is taken to run on beside the first's: no play
// has times of its own on it, or those that do have their snaps in step. Moments are the
// snaps that are marked in both.
func (o *syncOptions) runsOn(g *tags.Game, f tags.Film) (yes bool, moments []film.Moment) {
	first := g.Films[0]
	if f.File == "" || first.File == "" || f.File == first.File {
		return false, nil
	}
	timed, lacking := 0, len(g.Plays) == 0
	for _, p := range g.Plays {
		if !p.Timed(f.Angle) {
			lacking = lacking || p.Timed(first.Angle)
			continue
		}
		timed++
		one, errOne := p.View(first.Angle)
		other, errOther := p.View(f.Angle)
		if errors.Join(errOne, errOther) == nil && one.Snaps && other.Snaps && !guessed(p) &&
			one.File == first.File && other.File == f.File {
			moments = append(moments, film.Moment{First: one.Snap, Other: other.Snap})
		}
	}
	if timed > 0 {
		_, err := film.InStep(moments, o.season.films[f.File].Rate.Duration(1))
		return lacking && err == nil, moments
	}
	return lacking, moments
}

// jobs is what there is to be put in step in g.
func (o *syncOptions) jobs(g *tags.Game, said syncOrders) []*syncJob {
	var jobs []*syncJob
	if len(g.Films) == 0 {
		return nil
	}
	first := g.Films[0]
	bases := map[*tags.Play]*syncJob{}
	for _, f := range g.Films[1:] {
		job := syncJob{game: g, first: first, angle: f, nudge: said.nudges[f.Angle]}
		yes, moments := o.runsOn(g, f)
		for _, m := range said.marks {
			one, inOne := m[first.Angle]
			other, inOther := m[f.Angle]
			if inOne && inOther {
				moments = append(moments, film.Moment{First: one, Other: other})
				yes = true
			}
		}
		if yes {
			job := job
			job.moments = moments
			job.written = f.Offset != nil && !o.again
			jobs = append(jobs, &job)
		}
		for _, p := range g.Plays {
			if !p.Timed(first.Angle) || !p.Timed(f.Angle) {
				continue
			}
			job := job
			if !job.ofPlay(p) {
				continue
			}
			if !job.one.Snaps && !job.other.Snaps {
				if bases[p] == nil {
					bases[p] = &syncJob{game: g, first: first, angle: first, play: p, one: job.one, other: job.one}
					jobs = append(jobs, bases[p])
				}
				job.base = bases[p]
			}
			jobs = append(jobs, &job)
		}
	}
	return jobs
}

// ofPlay makes j the job of finding a snap of p that is not marked; false where there is
// none to be found.
func (j *syncJob) ofPlay(p *tags.Play) bool {
	var errOne, errOther error
	j.play = p
	j.one, errOne = p.View(j.first.Angle)
	j.other, errOther = p.View(j.angle.Angle)
	if errors.Join(errOne, errOther) != nil || j.one.File == j.other.File {
		return false
	}
	if j.one.Snaps && j.other.Snaps {
		j.replaced = guessed(p)
		j.toFirst = p.Extra[guessKey] == guessOn(j.first.Angle)
		return j.replaced
	}
	j.toFirst = j.other.Snaps
	return true
}

// standing says of an angle's plays that there is nothing to find for them.
func standing(g *tags.Game, f tags.Film) string {
	marked, bare := 0, 0 // bare where both angles are in one film
	for _, p := range g.Plays {
		if !p.Timed(g.Films[0].Angle) || !p.Timed(f.Angle) || guessed(p) {
			continue
		}
		one, errOne := p.View(g.Films[0].Angle)
		other, errOther := p.View(f.Angle)
		switch {
		case errors.Join(errOne, errOther) != nil:
		case one.Snaps && other.Snaps:
			marked++
		case !one.Snaps && !other.Snaps && one.File == other.File:
			bare++
		}
	}
	var said []string
	if marked > 0 {
		said = append(said, plural(marked, "play")+" in step: the snap is marked on both")
	}
	if bare > 0 {
		said = append(said, plural(bare, "play")+" with no snap marked on either")
	}
	return strings.Join(said, "; ")
}

// find does the jobs, those of whole films one after the other, since they hold much
// sound, then those of plays side by side.
func (o *syncOptions) find(ctx context.Context, jobs []*syncJob) error {
	total := tags.Frame(0)
	for _, j := range jobs {
		total += o.frames(j)
	}
	tell, done := o.teller(total)
	defer done()
	ear := &ear{library: o.season.shop.library, tell: tell}
	for _, j := range jobs {
		if j.play == nil {
			j.err = o.findOffset(ctx, ear, j)
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	ear.whole = nil // plays are heard by themselves
	for _, bases := range []bool{true, false} {
		group, inGroup := errgroup.WithContext(ctx)
		group.SetLimit(runtime.GOMAXPROCS(0))
		for _, j := range jobs {
			if j.play == nil || (j.angle.Angle == j.first.Angle) != bases {
				continue
			}
			group.Go(func() error {
				if bases {
					j.guess = string(tags.Snap)
					j.err = o.look(inGroup, ear, j, j.one)
				} else {
					j.err = o.findSnap(inGroup, ear, j)
				}
				return context.Cause(inGroup)
			})
		}
		if err := group.Wait(); err != nil {
			return err
		}
	}
	return nil
}

// frames is how many frames of film a job listens to.
func (o *syncOptions) frames(j *syncJob) tags.Frame {
	if j.play == nil {
		if j.written || len(j.moments) > 1 {
			return 0
		}
		return o.season.films[j.first.File].Frames + o.season.films[j.angle.File].Frames
	}
	n := o.span(j.other).Len()
	if j.angle.Angle != j.first.Angle {
		n += o.span(j.one).Len()
	}
	return n
}

// span is a play's frames on one angle.
func (o *syncOptions) span(v tags.View) tags.Span {
	src := o.season.films[v.File]
	clock := src.Clock()
	span := tags.Span{In: clock.FrameAt(v.In), Out: src.Frames}
	if !v.ToEnd {
		span.Out = clock.FrameAt(v.Out)
	}
	return span
}

// ear hears film; of whole films it keeps the last first angle's sound.
type ear struct {
	library *film.Library
	tell    func(tags.Frame)
	whole   *film.Sound
	file    string
}

// always is past the end of any film.
const always = tags.Time(math.MaxInt64)

// both is the sound of the whole of two films.
func (e *ear) both(ctx context.Context, one, other string) (a, b film.Sound, err error) {
	group, ctx := errgroup.WithContext(ctx)
	group.Go(func() (err error) {
		if e.whole == nil || e.file != one {
			a, err = e.library.Hear(ctx, one, 0, always, e.tell)
			return err
		}
		a = *e.whole
		return nil
	})
	group.Go(func() (err error) {
		b, err = e.library.Hear(ctx, other, 0, always, e.tell)
		return err
	})
	if err = group.Wait(); err == nil {
		e.whole, e.file = &a, one
	}
	return a, b, err
}

// play is the sound of a play on one angle.
func (e *ear) play(ctx context.Context, v tags.View) (film.Sound, error) {
	out := v.Out
	if v.ToEnd {
		out = always
	}
	return e.library.Hear(ctx, v.File, v.In, out, e.tell)
}

// farthest is how much later one camera may hear than another, at most: 100 m of sound.
const farthest = 290 * tags.Millisecond

// findOffset finds how the film of an angle runs against the first's.
func (o *syncOptions) findOffset(ctx context.Context, ear *ear, j *syncJob) error {
	src := o.season.films[j.angle.File]
	clock := src.Clock()
	frame := src.Rate.Duration(1)
	if j.written {
		was, err := j.angle.Offset.Resolve(clock)
		if err != nil {
			return err
		}
		j.set, j.drift = was, j.angle.Drift
		j.how, j.stays = "it is written; --again finds it anew", true
		if j.nudge != 0 {
			j.set += src.Rate.Duration(j.nudge)
			j.how, j.stays, j.moved = fmt.Sprintf("moved by %s from %s", plural(int(j.nudge), "frame"), was), false, j.angle.Angle
		}
		return nil
	}
	one := o.season.films[j.first.File]
	var err error
	switch {
	case len(j.moments) > 1:
		j.lag, err = film.InStep(j.moments, frame)
		j.lag.Clear = 0
		j.how = fmt.Sprintf("by %s marked in both", plural(j.lag.Agree, "instant"))
	case one.Audio < 0:
		err = fmt.Errorf("%s has no sound: mark two instants in both", j.first.Angle)
	case src.Audio < 0:
		err = fmt.Errorf("%s has no sound: mark two instants in both", j.angle.Angle)
	default:
		j.byEar = true
		err = o.listen(ctx, ear, j, frame)
	}
	if err != nil {
		return err
	}
	// Drift counts where it comes to as much as can be seen.
	length := one.Clock().At(one.Frames)
	if drifts := tags.Time(float64(length) * math.Abs(j.lag.Drift) / 1e6); drifts > frame/4 {
		j.drift = int(math.Round(j.lag.Drift))
		j.how += fmt.Sprintf("; the clocks run %.1f frames apart over the film", float64(drifts)/float64(frame))
		j.set = j.lag.By - j.lag.At*tags.Time(j.drift)/1_000_000
	} else {
		j.set = j.lag.By
	}
	if j.nudge != 0 {
		j.set += src.Rate.Duration(j.nudge)
		j.how += fmt.Sprintf("; moved by %s", plural(int(j.nudge), "frame"))
		j.moved = j.angle.Angle
	}
	return nil
}

// listen finds the offset by sound. One instant that is marked in both wins, but sound must
// bear it out: alone, a slip would not show.
func (o *syncOptions) listen(ctx context.Context, ear *ear, j *syncJob, frame tags.Time) error {
	a, b, err := ear.both(ctx, j.first.File, j.angle.File)
	if err != nil {
		return err
	}
	j.lag, err = film.Listen(ctx, a, b)
	j.how = fmt.Sprintf("by sound: %d of %d windows agree", j.lag.Agree, j.lag.Of)
	if err != nil || len(j.moments) == 0 {
		return err
	}
	m := j.moments[0]
	off := m.Other - m.First - j.lag.On(m.First)
	if max(off, -off) > farthest+2*frame {
		return fmt.Errorf("the one instant marked in both says %s, sound says %s: mark another: %w", m.Other-m.First, j.lag.On(m.First), film.ErrUnsure)
	}
	j.lag.By += off
	j.how = fmt.Sprintf("by the instant marked in both; by sound it would be %.1f frames later", -float64(off)/float64(frame))
	return nil
}

// findSnap finds the snap of a play on the angle that has none, from the other's by sound, or
// else from what moves.
func (o *syncOptions) findSnap(ctx context.Context, ear *ear, j *syncJob) error {
	if j.base != nil {
		if j.base.err != nil {
			return fmt.Errorf("there is no snap on %s to go by: mark it", j.first.Angle)
		}
		j.one.Snap = j.base.set
	}
	err := o.hearSnap(ctx, ear, j)
	switch {
	case err == nil || ctx.Err() != nil || errors.As(err, &outsideError{}):
		return err
	case j.replaced:
		j.how, j.stays = "it is a guess, and by sound no better one is found: "+err.Error(), true
		if j.set = j.other.Snap; j.toFirst {
			j.set = j.one.Snap
		}
		return nil
	}
	on := j.other
	if j.toFirst {
		on = j.one
	}
	if seen := o.look(ctx, ear, j, on); seen != nil {
		return fmt.Errorf("%w; by what moves: %w", err, seen)
	}
	if j.base == nil {
		j.guess = guessOn(on.Angle)
	}
	return nil
}

// look guesses a snap from what moves, good to about a quarter of a second.
func (o *syncOptions) look(ctx context.Context, ear *ear, j *syncJob, on tags.View) error {
	snap, step, err := ear.library.Snap(ctx, on.File, o.span(on), ear.tell)
	if err != nil {
		return err
	}
	j.set, j.lag = o.season.films[on.File].Clock().At(snap), film.Lag{}
	j.how = fmt.Sprintf("a guess by what moves, %.1f times as much from there on", step)
	return nil
}

// outsideError is that sound is sure of a snap where the play is not shown: in, out or the
// snap that was marked is wrong, and what moves would only hide it.
type outsideError struct{ at tags.Time }

func (e outsideError) Error() string {
	return fmt.Sprintf("by sound the snap is at %s, outside in and out", e.at)
}

// hearSnap finds the snap by sound.
func (o *syncOptions) hearSnap(ctx context.Context, ear *ear, j *syncJob) error {
	for _, v := range []tags.View{j.one, j.other} {
		if o.season.films[v.File].Audio < 0 {
			return fmt.Errorf("%s has no sound", v.Angle)
		}
	}
	a, err := ear.play(ctx, j.one)
	if err != nil {
		return err
	}
	b, err := ear.play(ctx, j.other)
	if err != nil {
		return err
	}
	if j.lag, err = film.Listen(ctx, a, b); err != nil {
		return err
	}
	on, at := j.other, j.one.Snap+j.lag.By
	if j.toFirst {
		on, at = j.one, j.other.Snap-j.lag.By
	}
	how := fmt.Sprintf("by sound: %d of %d windows agree", j.lag.Agree, j.lag.Of)
	if j.replaced || j.base != nil {
		how += "; the snap itself is a guess"
	}
	src := o.season.films[on.File]
	moved := ""
	if j.nudge != 0 {
		move := src.Rate.Duration(j.nudge)
		if j.toFirst {
			move = -move
		}
		at += move
		moved = j.angle.Angle
		how += fmt.Sprintf("; moved by %s", plural(int(j.nudge), "frame"))
	}
	if n := src.Clock().FrameAt(at); n < o.span(on).In || n >= o.span(on).Out {
		return outsideError{at}
	}
	j.set, j.how, j.moved, j.byEar = at, how, moved, true
	return nil
}

// row is the job in print.
func (j *syncJob) row() []string {
	row := []string{j.angle.Angle, "", "offset " + j.set.String(), "", j.how}
	if j.play != nil {
		row[1], row[2] = fmt.Sprint(j.play.Number), "snap "+j.set.String()
		if j.toFirst {
			row[2] = fmt.Sprintf("%s snap %s", j.first.Angle, j.set)
		}
	}
	if j.drift != 0 {
		row[2] += fmt.Sprintf(", drift %d", j.drift)
	}
	if j.lag.Clear > 0 {
		row[3] = fmt.Sprintf("%.1f", j.lag.Clear)
	}
	if j.err != nil {
		row[2], row[4] = "refused", j.err.Error()
	}
	return row
}
