package reel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
)

// examination is what was found of a machine so far.
type examination struct {
	say   func(what, found string)
	fit   bool
	tool  ffmpeg.Tool
	ident string   // the toolchain's version, whole
	has   []string // encoders
}

// note tells one thing that was looked at. A machine with a fault is not fit.
func (x *examination) note(what, found string, err error) {
	if err != nil {
		x.fit, found = false, "FAULT: "+err.Error()
	}
	x.say(what, found)
}

// Examine looks at whether this machine can cut reels: at ffmpeg, its encoders and filters,
// the cache, and a reel of one second. Encoders of graphics hardware that make the same reel
// are kept as proved. It tells each thing as it is found, and reports whether all is well.
func Examine(ctx context.Context, say func(what, found string)) (fit bool, err error) {
	x := &examination{say: say, fit: true}
	x.note("trenchcut", session.Version(), nil)
	if !x.findTool(ctx) {
		return false, nil
	}
	whole := x.findCodecs(ctx)
	machine := x.openCache()
	if !whole {
		return false, nil
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return false, err
	}
	frames, err := render.Try(ctx, x.tool, x.ident, recipe)
	x.note("one-second reel", fmt.Sprintf("made, %d frames with sound", frames), err)
	proved := x.proveHardware(ctx, recipe)
	if machine != nil && ctx.Err() == nil {
		if err := keepProofs(ctx, machine, proved); err != nil && len(proved) > 0 {
			x.note("encoders", "", fmt.Errorf("keep what was proved: %w", err))
		}
	}
	return x.fit, nil
}

// findTool looks for ffmpeg. Where it is absent or too old, what else is lacking is no news.
func (x *examination) findTool(ctx context.Context) (serves bool) {
	var err error
	if x.tool, err = ffmpeg.Find(); err != nil {
		x.note("ffmpeg", "", err)
		return false
	}
	x.ident, err = x.tool.Version(ctx)
	x.note("ffmpeg", fmt.Sprintf("%s (%s)", strings.TrimPrefix(ffmpeg.NameOf(x.ident), "ffmpeg version "), x.tool.FFmpeg), err)
	return !errors.Is(err, ffmpeg.ErrOld)
}

// findCodecs looks for the encoders and filters that reels, stills and film of high dynamic
// range need. Whole reports whether ffmpeg has what every reel needs.
func (x *examination) findCodecs(ctx context.Context) (whole bool) {
	var errEncoders error
	x.has, errEncoders = x.tool.Encoders(ctx)
	muxers, errMuxers := x.tool.Muxers(ctx)
	filters, errFilters := x.tool.Filters(ctx)
	err := errors.Join(errEncoders, errMuxers, errFilters)
	if err == nil {
		err = ffmpeg.Whole(x.has, muxers, filters)
	}
	x.note("encoders", h264(x.has), err)
	if err != nil {
		return false
	}
	if !(slices.Contains(x.has, ffmpeg.StillEncoder) && slices.Contains(muxers, ffmpeg.StillMuxer)) {
		err = fmt.Errorf("this ffmpeg makes no stills: install one that is built with %s and %s", ffmpeg.StillEncoder, ffmpeg.StillMuxer)
	}
	x.note("marking page", "can show film", err)
	x.note("HDR film", toned(filters), nil)
	return true
}

// openCache tries the cache folder. The machine is nil where it could not be opened.
func (x *examination) openCache() *session.Machine {
	machine, err := session.OpenMachine()
	switch {
	case err != nil:
		x.note("cache", "", err)
		return nil
	case machine.NoCache != nil:
		x.note("cache", "", machine.NoCache)
	default:
		x.note("cache", machine.Store.Root, machine.Store.Check())
	}
	return machine
}

// proveHardware is the encoders of graphics hardware that work here. That one does not is no
// fault.
func (x *examination) proveHardware(ctx context.Context, recipe plan.Recipe) (proved []string) {
	for _, e := range plan.Hardware {
		if !slices.Contains(x.has, e) {
			continue
		}
		hard := recipe
		hard.Encoder = recipe.Encoder.With(e)
		if err := render.Prove(ctx, x.tool, x.ident, hard); err != nil {
			x.note(e, "does not work here: "+firstComplaint(err), ctx.Err())
			continue
		}
		x.note(e, "works: reel --encoder "+e, nil)
		proved = append(proved, e)
	}
	return proved
}

// toned is whether film of high dynamic range can be cut with the filters there are; few
// cameras make it, so that lacking them is no fault.
func toned(filters []string) string {
	for _, f := range ffmpeg.ToneFilters {
		if !slices.Contains(filters, f) {
			return "cannot be cut: this ffmpeg has no filter " + f
		}
	}
	return "can be cut"
}

func h264(encoders []string) string {
	var list []string
	for _, e := range encoders {
		if strings.Contains(e, "264") {
			list = append(list, e)
		}
	}
	return strings.Join(list, ", ")
}
