package main

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"os"
	"runtime"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

type workOptions struct {
	streams
	at     atOptions
	film   []string
	atOnce int
	name   string
}

func newWorkCommand(s streams) *cobra.Command {
	o := &workOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "work",
		Short: "Cut segments that other machines ask for",
		Long: `Work makes this machine a worker of a farm until Ctrl-C: it renders the segments
that reels on other machines need. It wants the key file worker.key of the
machine where "trenchcut farm" runs, and the ffmpeg that makes the reels.

Film that lies in a folder named by --film, a shared drive for one, is read from
there, whatever it is called. Of other film only the stretch travels that a
segment is cut from; it is removed when the work ends.`,
		Example: `  trenchcut work --at worker.key
  trenchcut work --at worker.key --film /mnt/film --jobs 2`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	f := cmd.Flags()
	o.at.addFlags(cmd)
	f.StringSliceVar(&o.film, "film", nil, "`folders` in which film lies, and below them")
	f.IntVar(&o.atOnce, "jobs", runtime.NumCPU(), "`number` of segments to cut at once")
	f.StringVar(&o.name, "name", "", "what this machine is `called` (default: its own name)")
	return cmd
}

func (o *workOptions) run(ctx context.Context) error {
	place, err := o.at.place()
	if err != nil {
		return tags.WrongRequest(err)
	}
	if place == nil {
		return wrongCall("work wants --at, or %s: the key file worker.key of the machine where \"trenchcut farm\" runs", atVariable)
	}
	if o.atOnce < 1 {
		return wrongCall("--jobs wants at least 1")
	}
	for _, folder := range o.film {
		if _, err := os.Stat(folder); err != nil {
			return tags.WrongRequest(fmt.Errorf("--film: %w", err))
		}
	}
	machine, err := session.OpenMachine()
	if err != nil {
		return err
	}
	if machine.NoCache != nil {
		return machine.NoCache
	}
	toolchain, err := machine.Toolchain(ctx)
	if err != nil {
		return err
	}
	f, err := farm.Open(ctx, *place, toolchain)
	if err != nil {
		return err
	}
	defer f.Close()
	copies := farm.NewCopies(o.film)
	count, err := copies.Count(ctx)
	if err != nil {
		return err
	}
	w := &farm.Worker{
		Farm: f, Name: cmp.Or(o.name, farm.ThisMachine()), Tool: machine.Tool, Toolchain: toolchain, Store: machine.Store,
		Copies: copies, AtOnce: o.atOnce, Log: slog.New(terminal.NewLog(o.Out, slog.LevelInfo)),
	}
	if _, err := fmt.Fprintf(o.Out, "%s works for the farm at %s, %s at once, with %s of film here. Ctrl-C ends it.\n",
		w.Name, *place, tags.Count(w.AtOnce, "segment"), tags.Count(count, "file")); err != nil {
		return err
	}
	return w.Run(ctx)
}
