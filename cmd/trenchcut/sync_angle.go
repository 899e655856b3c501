package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
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
	base       *syncJob  // finds the snap on the first angle, where none is there
	guess      bool      // the snap that is found is one
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
// moves: "snap", or "sideline snap; tower snap" where it is one on those angles alone.
const guessKey = "guess"

const everySnap = string(tags.Snap)

func snapOn(angle string) string { return angle + " " + everySnap }

// guessed reports whether what is said of guesses makes the snap on an angle one.
func guessed(said, angle string) bool {
	return said == everySnap || slices.Contains(strings.Split(said, "; "), snapOn(angle))
}

// saying adds to what is said of guesses that the snap that was found is one.
func (j *syncJob) saying(said string) string {
	on := j.on().Angle
	switch {
	case j.angle.Angle == j.first.Angle:
		return everySnap
	case guessed(said, on):
		return said
	case said == "":
		return snapOn(on)
	default:
		return said + "; " + snapOn(on)
	}
}

// on is where the snap is wanted.
func (j *syncJob) on() tags.View {
	if j.toFirst {
		return j.one
	}
	return j.other
}

// marked reports whether somebody marked a play's snap on an angle.
func marked(p *tags.Play, v tags.View) bool { return v.Snaps && !guessed(p.Extra[guessKey], v.Angle) }

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
		if errors.Join(errOne, errOther) == nil && marked(p, one) && marked(p, other) &&
			one.File == first.File && other.File == f.File {
			moments = append(moments, film.Moment{First: one.Snap, Other: other.Snap})
		}
	}
	if timed > 0 {
		_, err := film.InStep(moments, o.session.Films[f.File].Rate.Duration(1))
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
	for _, f := range g.Films[1:] {
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
			jobs = append(jobs, &syncJob{
				game: g, first: first, angle: f, nudge: said.nudges[f.Angle], moments: moments, written: f.Offset != nil && !o.again,
			})
		}
	}
	for _, p := range g.Plays {
		jobs = append(jobs, jobsOf(p, said.nudges)...)
	}
	return jobs
}

// jobsOf is the jobs of finding a play's snaps where none is marked: on the first angle from
// one where it is, or else from what moves, and on the others from the first.
func jobsOf(p *tags.Play, nudges map[string]tags.Frame) []*syncJob {
	first := p.Game.Films[0]
	one, err := p.View(first.Angle)
	if err != nil || !p.Timed(first.Angle) {
		return nil
	}
	var base *syncJob
	var rest []*syncJob
	for _, f := range p.Game.Films[1:] {
		other, err := p.View(f.Angle)
		if err != nil || !p.Timed(f.Angle) || one.File == other.File {
			continue
		}
		j := &syncJob{game: p.Game, first: first, angle: f, nudge: nudges[f.Angle], play: p, one: one, other: other}
		switch {
		case !marked(p, other):
			j.replaced = other.Snaps
			rest = append(rest, j)
		case !marked(p, one) && base == nil:
			j.toFirst, j.replaced = true, one.Snaps
			base = j
		}
	}
	if base == nil && !one.Snaps && len(rest) > 0 {
		base = &syncJob{game: p.Game, first: first, angle: first, play: p, one: one, other: one}
	}
	if base == nil {
		return rest
	}
	for _, j := range rest {
		j.base = base
	}
	return append([]*syncJob{base}, rest...)
}

// standing says of an angle's plays that there is nothing to find for them.
func standing(g *tags.Game, f tags.Film) string {
	inStep, bare := 0, 0 // bare where both angles are in one film
	for _, p := range g.Plays {
		if !p.Timed(g.Films[0].Angle) || !p.Timed(f.Angle) {
			continue
		}
		one, errOne := p.View(g.Films[0].Angle)
		other, errOther := p.View(f.Angle)
		switch {
		case errors.Join(errOne, errOther) != nil:
		case marked(p, one) && marked(p, other):
			inStep++
		case !one.Snaps && !other.Snaps && one.File == other.File:
			bare++
		}
	}
	var said []string
	if inStep > 0 {
		said = append(said, plural(inStep, "play")+" in step: the snap is marked on both")
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
	ear := &ear{library: o.machine.Library, tell: tell}
	for _, j := range jobs {
		if j.play == nil {
			j.err = o.findOffset(ctx, ear, j)
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	ear.whole = nil // plays are heard by themselves
	for _, based := range []bool{false, true} {
		group, inGroup := errgroup.WithContext(ctx)
		group.SetLimit(runtime.GOMAXPROCS(0))
		for _, j := range jobs {
			if j.play != nil && (j.base != nil) == based {
				group.Go(func() error {
					j.err = o.findSnap(inGroup, ear, j)
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

// frames is how many frames of film a job listens to.
func (o *syncOptions) frames(j *syncJob) tags.Frame {
	if j.play == nil {
		if j.written || len(j.moments) > 1 {
			return 0
		}
		return o.session.Films[j.first.File].Frames + o.session.Films[j.angle.File].Frames
	}
	n := o.span(j.other).Len()
	if j.angle.Angle != j.first.Angle {
		n += o.span(j.one).Len()
	}
	return n
}

// span is a play's frames on one angle.
func (o *syncOptions) span(v tags.View) tags.Span {
	src := o.session.Films[v.File]
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
	src := o.session.Films[j.angle.File]
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
	one := o.session.Films[j.first.File]
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
	if j.angle.Angle == j.first.Angle {
		return o.look(ctx, ear, j)
	}
	doubt := !j.toFirst && !marked(j.play, j.one) // whether what sound goes by is a guess
	if j.base != nil {
		if j.base.err != nil {
			return fmt.Errorf("there is no snap on %s to go by: mark it", j.first.Angle)
		}
		j.one.Snap, doubt = j.base.set, j.base.guess
	}
	err := o.hearSnap(ctx, ear, j)
	switch {
	case err == nil:
		if j.guess = doubt; doubt {
			j.how += "; the snap itself is a guess"
		}
		return nil
	case ctx.Err() != nil || errors.As(err, &outsideError{}):
		return err
	case j.replaced:
		j.how, j.stays = "it is a guess, and by sound no better one is found: "+err.Error(), true
		j.set, j.guess = j.on().Snap, true
		return nil
	}
	if seen := o.look(ctx, ear, j); seen != nil {
		return fmt.Errorf("%w; by what moves: %w", err, seen)
	}
	return nil
}

// look guesses a snap from what moves, good to about a quarter of a second.
func (o *syncOptions) look(ctx context.Context, ear *ear, j *syncJob) error {
	on := j.on()
	snap, step, err := ear.library.Snap(ctx, on.File, o.span(on), ear.tell)
	if err != nil {
		return err
	}
	j.set, j.lag, j.guess = o.session.Films[on.File].Clock().At(snap), film.Lag{}, true
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
		if o.session.Films[v.File].Audio < 0 {
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
	on := j.on()
	src := o.session.Films[on.File]
	j.set, j.byEar = j.one.Snap+j.lag.By, true
	if j.toFirst {
		j.set = j.other.Snap - j.lag.By
	}
	j.how = fmt.Sprintf("by sound: %d of %d windows agree", j.lag.Agree, j.lag.Of)
	if j.nudge != 0 {
		move := src.Rate.Duration(j.nudge)
		if j.toFirst {
			move = -move
		}
		j.set += move
		j.moved = j.angle.Angle
		j.how += fmt.Sprintf("; moved by %s", plural(int(j.nudge), "frame"))
	}
	if n := src.Clock().FrameAt(j.set); n < o.span(on).In || n >= o.span(on).Out {
		return outsideError{j.set}
	}
	return nil
}

// row is the job in print.
func (j *syncJob) row() []string {
	row := []string{j.angle.Angle, "", "offset " + j.set.String(), "", j.how}
	if j.play != nil {
		row[1], row[2] = fmt.Sprint(j.play.Number), "snap "+j.set.String()
		if j.toFirst {
			row[2] = j.first.Angle + " " + row[2]
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
