package main

import (
	"context"
	"errors"
	"fmt"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// logged is run, with what is decided on the way told as was asked.
func (o *reelOptions) logged(ctx context.Context) error {
	stop, err := o.log.open(o.streams)
	if err != nil {
		return err
	}
	return stop(o.run(ctx))
}

// makeQuick makes a reel to look at, in seconds, and says what it lacks.
func (o *reelOptions) makeQuick(ctx context.Context, p *plan.Plan, out string) error {
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	report, err := maker.Quick(ctx, p, out, o.force, bars.show)
	bars.done()
	switch {
	case errors.Is(err, render.ErrNotOurs):
		return usageError{err: fmt.Errorf("%s is there already; --force replaces it", out)}
	case errors.Is(err, render.ErrNotQuick):
		return fmt.Errorf("%w: leave --quick out", err)
	case err != nil:
		return err
	}
	o.printLeftOut(p.LeftOut)
	return printWrapped(o.streams.Out, outWidth(o.streams.Out), fmt.Sprintf(
		"%s: %s, %s. A quick look, not to be handed out: clips hold up to %.1f s more than was asked for, labels are a subtitle track, and there are no slates, no clock and no numbers.",
		out, plural(report.Clips, "clip"), report.Length, report.More.Seconds()))
}

// cutAhead renders what reels of the choice will need, and joins nothing.
func (o *reelOptions) cutAhead(ctx context.Context, season *tags.Season, parts []plan.Part, recipe plan.Recipe) error {
	entries, leftOut, err := plan.Ahead(season, parts, recipe, o.choose.season.films)
	if err != nil {
		return err
	}
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	maker.KeepGoing, maker.Log = o.keepGoing, o.log.Logger
	bars := &bars{streams: o.streams}
	defer bars.done()
	distinct, rendered, err := maker.Warm(ctx, entries, bars.show)
	bars.done()
	o.printLeftOut(leftOut)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s ready, %d new\n", plural(distinct, "segment"), rendered)
	return err
}

// check holds a reel to its manifest and to the film of the games.
func (o *reelOptions) check(ctx context.Context) error {
	_, faults, err := o.choose.season.read(ctx, true)
	if err != nil {
		return err
	}
	if err := faults.Err(); err != nil {
		return err
	}
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	v, err := maker.Verify(ctx, o.verify, o.choose.season.shop.library, bars.show)
	bars.done()
	if err != nil {
		return err
	}
	for _, f := range v.Missing {
		fmt.Fprintf(o.streams.Err, "film %s is not among the games, or is not as it was when the reel was made\n", f.File)
	}
	if n := len(v.Missing); n > 0 {
		return fmt.Errorf("%s is whole, but %s of %d cannot be vouched for", o.verify, plural(n, "film"), len(v.Manifest.Films))
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s: %d frames, as its manifest says, from %s that are as they were\n",
		o.verify, v.Manifest.Reel.Frames, plural(len(v.Manifest.Films), "film"))
	return err
}
