package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/reel"
	"trenchcut/tags/report"
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

// errUnfit says that doctor found something amiss, which it has printed.
var errUnfit = errors.New("this machine cannot cut reels yet")

func (o *doctorOptions) run(ctx context.Context) error {
	var rows [][]string
	fit, err := reel.Examine(ctx, func(what, found string) { rows = append(rows, []string{what, found}) })
	columns := []report.Heading{{}, {Least: 20, Fold: true}}
	if err := errors.Join(err, terminal.Table(o.streams.Out, terminal.Width(o.streams.Out), columns, rows)); err != nil {
		return err
	}
	if !fit {
		return errUnfit
	}
	_, err = fmt.Fprintln(o.streams.Out, "This machine can cut reels.")
	return err
}
