package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
)

type doctorOptions struct{ streams streams }

func newDoctorCommand(s streams) *cobra.Command {
	o := &doctorOptions{streams: s}
	return &cobra.Command{
		Use:   "doctor",
		Short: "Look whether this machine can cut reels",
		Long: `Doctor looks for ffmpeg, says which version and which encoders it has, makes a
one-second reel with it, and tries the cache folder. Encoders of graphics
hardware must make the same reel in pieces that can be joined, and what they
made must look as it should; only those can be asked for with reel --encoder.`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
}

// errUnwell says that doctor found something amiss, which it has printed.
var errUnwell = errors.New("this machine cannot cut reels yet")

func (o *doctorOptions) run(ctx context.Context) error {
	w := tabwriter.NewWriter(o.streams.Out, 0, 0, 2, ' ', 0)
	sound := true
	say := func(what, found string, err error) {
		if err != nil {
			sound, found = false, "FAULT: "+err.Error()
		}
		fmt.Fprintf(w, "%s\t%s\n", what, found)
	}
	say("trenchcut", session.Version(), nil)
	tool, err := ffmpeg.Find()
	if err != nil {
		say("ffmpeg", "", err)
		return errors.Join(w.Flush(), errUnwell)
	}
	toolchain, err := tool.Version(ctx)
	line, _, _ := strings.Cut(toolchain, "\n")
	line, _, _ = strings.Cut(line, " Copyright")
	say("ffmpeg", fmt.Sprintf("%s (%s)", strings.TrimPrefix(line, "ffmpeg version "), tool.FFmpeg), err)
	if errors.Is(err, ffmpeg.ErrOld) { // what else it lacks is no news
		return errors.Join(w.Flush(), errUnwell)
	}
	encoders, errEncoders := tool.Encoders(ctx)
	err = errEncoders
	if err == nil && !slices.Contains(encoders, "libx264") {
		err = errors.New("no libx264 in this ffmpeg: install one that is built with it")
	}
	say("encoders", h264(encoders), err)
	err = errEncoders
	if muxers, errMuxers := tool.Muxers(ctx); err == nil {
		err = errMuxers
		if err == nil && !(slices.Contains(encoders, ffmpeg.StillEncoder) && slices.Contains(muxers, ffmpeg.StillMuxer)) {
			err = fmt.Errorf("this ffmpeg makes no stills: install one that is built with %s and %s", ffmpeg.StillEncoder, ffmpeg.StillMuxer)
		}
	}
	say("marking page", "can show film", err)
	filters, err := tool.Filters(ctx)
	say("HDR film", toned(filters), err)

	machine, err := session.OpenMachine()
	switch {
	case err != nil:
		say("cache", "", err)
	case machine.NoCache != nil:
		say("cache", "", machine.NoCache)
	default:
		say("cache", machine.Store.Root, machine.Store.Check())
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return err
	}
	frames, err := render.Try(ctx, tool, toolchain, recipe)
	say("one-second reel", fmt.Sprintf("made, %d frames with sound", frames), err)
	var proved []string
	for _, e := range plan.Hardware {
		if !slices.Contains(encoders, e) {
			continue
		}
		hard := recipe
		hard.Encoder = recipe.Encoder.With(e)
		if err := render.Prove(ctx, tool, toolchain, hard); err != nil {
			say(e, "does not work here: "+terminal.OneLine(reel.FirstComplaint(err)), ctx.Err())
			continue
		}
		say(e, "works: reel --encoder "+e, nil)
		proved = append(proved, e)
	}
	if errEncoders == nil && machine != nil && ctx.Err() == nil {
		if err := reel.KeepProofs(ctx, machine, proved); err != nil && len(proved) > 0 {
			say("encoders", "", fmt.Errorf("keep what was proved: %w", err))
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if !sound {
		return errUnwell
	}
	_, err = fmt.Fprintln(o.streams.Out, "This machine can cut reels.")
	return err
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

// h264 is the H.264 encoders among all.
func h264(encoders []string) string {
	var list []string
	for _, e := range encoders {
		if strings.Contains(e, "264") {
			list = append(list, e)
		}
	}
	return strings.Join(list, ", ")
}
