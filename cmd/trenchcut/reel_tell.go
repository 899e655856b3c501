package main

import (
	"context"
	"fmt"
	"log/slog"
	"maps"
	"path/filepath"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
)

// tell says what was decided of the reel of p before it is made, and how large it will be.
// On a terminal, and with a plan, that much is said unasked.
func (o *reelOptions) tell(ctx context.Context, p *plan.Plan, r plan.Recipe) error {
	unasked := o.streams.IsTerminal || o.planOnly
	if !o.log.verbose && o.log.file == "" && !unasked {
		return nil
	}
	o.log.once(slog.LevelInfo, "quality", "name", qualityName(r.Encoder), "crf", r.Encoder.CRF)
	o.log.once(slog.LevelInfo, "size", "of", fmt.Sprintf("%d×%d", p.House.Width, p.House.Height), "from", o.decidedBy(r, r.Width > 0,
		func(h plan.House) bool { return h.Width == p.House.Width && h.Height == p.House.Height }))
	o.log.once(slog.LevelInfo, "rate", "of", p.House.Rate.String(), "from", o.decidedBy(r, r.Rate.Known(),
		func(h plan.House) bool { return h.Rate == p.House.Rate }))
	o.printLeftOut(p.LeftOut)
	if o.quick {
		return nil // of which nothing is coded that could be foreseen
	}
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	e, err := maker.Estimate(ctx, p)
	if err != nil {
		return err
	}
	level := slog.LevelInfo
	if unasked {
		level = slog.LevelWarn
	}
	o.log.once(level, "expected", "size", expected{e.Low, e.High}, "length", p.House.Rate.Duration(e.Frames).String(), "by", basis(e))
	return nil
}

// expected is between which sizes a reel will be, in bytes.
type expected struct {
	Low  int64 `json:"low"`
	High int64 `json:"high"`
}

func (e expected) String() string {
	low, high := size(e.Low), size(e.High)
	if low == high {
		return low
	}
	return low + " to " + high
}

// basis is what an estimate goes by.
func basis(e render.Estimate) string {
	rest := plural(e.Segments-e.Kept, "segment")
	switch {
	case e.Segments == e.Kept:
		return "what is cut already"
	case e.Measured:
		return "what was cut (" + rest + " new)"
	default:
		return "a table (" + rest + " new)"
	}
}

// qualityName is the quality that e is of.
func qualityName(e plan.Encoder) string {
	for _, q := range []plan.Quality{plan.Small, plan.Standard, plan.Fine} {
		if q.Encoder().With(e.Codec) == e {
			return string(q)
		}
	}
	return "its own"
}

// decidedBy is what a size or a rate comes from: the recipe or the call, or the first film
// that by itself would have it so.
func (o *reelOptions) decidedBy(r plan.Recipe, said bool, same func(plan.House) bool) string {
	if said {
		return "the recipe"
	}
	films := o.choose.season.films
	for _, path := range slices.Sorted(maps.Keys(films)) {
		if same(plan.HouseFor([]plan.Source{films[path]}, r)) {
			return filepath.Base(path)
		}
	}
	return "all films together"
}
