package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

type doctorOptions struct{ streams streams }

func newDoctorCommand(s streams) *cobra.Command {
	o := &doctorOptions{streams: s}
	return &cobra.Command{
		Use:   "doctor",
		Short: "Look whether this machine can cut reels",
		Long: `Doctor looks for ffmpeg, says which version and which encoders it has, makes a
one-second file with it, and tries the cache folder.`,
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
	say("trenchcut", version(), nil)
	tool, err := ffmpeg.Find()
	if err != nil {
		say("ffmpeg", "", err)
		return errors.Join(w.Flush(), errUnwell)
	}
	toolchain, err := tool.Version(ctx)
	line, _, _ := strings.Cut(toolchain, "\n")
	line, _, _ = strings.Cut(line, " Copyright")
	say("ffmpeg", fmt.Sprintf("%s (%s)", strings.TrimPrefix(line, "ffmpeg version "), tool.FFmpeg), err)
	encoders, err := tool.Encoders(ctx)
	if err == nil && !slices.Contains(encoders, "libx264") {
		err = errors.New("no libx264 in this ffmpeg: install one that is built with it")
	}
	say("encoders", h264(encoders), err)
	filters, err := tool.Filters(ctx)
	say("HDR film", toned(filters), err)

	if shop, err := openWorkshop(); err != nil {
		say("cache", "", err)
	} else {
		say("cache", shop.store.Root, shop.store.Check())
		found, err := trial(ctx, shop)
		say("one-second reel", found, err)
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

// trial makes a reel of one slate, one second long, in a cache of its own, the whole
// way a real one goes.
func trial(ctx context.Context, shop *workshop) (string, error) {
	dir, err := os.MkdirTemp("", "trenchcut-doctor-")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(dir)
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return "", err
	}
	house := plan.House{Width: 1280, Height: 720, Rate: tags.Rate{Num: 30000, Den: 1001}}
	p := &plan.Plan{Title: "Doctor", House: house, Entries: []plan.Entry{{Chapter: "Doctor", Segment: plan.Segment{
		Kind: plan.Slate, House: house, Hold: 30, Card: &plan.Card{Title: "This machine can cut reels"},
		Look: recipe.Look, Encoder: recipe.Encoder,
	}}}}
	maker, err := shop.maker(ctx, 1)
	if err != nil {
		return "", err
	}
	maker.Store = render.Dir{Root: filepath.Join(dir, "segments")}
	report, err := maker.Make(ctx, p, filepath.Join(dir, "doctor.mp4"), false, func(render.Event) {})
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("made, %d frames with sound", report.Frames), nil
}
