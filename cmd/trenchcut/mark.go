package main

import (
	"context"
	"fmt"
	"log/slog"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/render"
)

type markOptions struct {
	streams
	season   seasonOptions // for the staff's words
	port     int
	noOpen   bool
	readOnly bool
}

func newMarkCommand(s streams) *cobra.Command {
	o := &markOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "mark GAME.game.yaml",
		Short: "Tag a game on a page, film and form side by side",
		Long: `Mark opens a page on this computer, at which a game is tagged as fast as it is
watched: the film large, a line of time, and one form that follows the keys. The
address is printed; whoever has it may tag the game, and no other computer can.
Ctrl-C ends it.

There are two passes, for different people on different days. In the first each
play gets its in, out and snap, guesses of outline are confirmed by one key, and
the situation is said. In the second each rep gets who, where, move, set,
battle, outcome and marks. Marks are the frame on the screen. On the page ?
lists all keys; a staff's own go into *.keys.yaml beside the game, such as
"snap: j" (trenchcut schema keys).

The tag file stays yours: comments, order and spacing are kept, each change is
in the file once the page says Saved, and what you or others type into the file
at the same time is taken in and never written over. What the file cannot hold
yet, such as a rep with no battle and no outcome, is kept in the folder .marking
beside it, and so is all that can be undone.`,
		Example: `  trenchcut mark wk1.game.yaml
  trenchcut mark wk1.game.yaml --port 4711 --no-open
  trenchcut mark wk1.game.yaml --read-only`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageError{fmt.Errorf("%s takes one tag file", cmd.CommandPath()), cmd.CommandPath()}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd.Context(), args[0]) },
	}
	f := cmd.Flags()
	f.IntVar(&o.port, "port", 0, "listen on this `port` (default: any that is free)")
	f.BoolVar(&o.noOpen, "no-open", false, "only print the address and open no browser")
	f.BoolVar(&o.readOnly, "read-only", false, "show the game and change nothing")
	f.StringSliceVar(&o.season.request.Staff.Keys, "keys", nil, "the staff's own keys, `files` (default: *.keys.yaml with the game)")
	rare(cmd, "keys")
	o.season.addStaffFlags(cmd)
	return cmd
}

func (o *markOptions) run(ctx context.Context, game string) error {
	if o.port < 0 || o.port > 65535 {
		return usageError{fmt.Errorf("--port %d: want 0 to 65535", o.port), "trenchcut mark"}
	}
	bars := &bars{streams: o.streams}
	server, err := desk.Open(ctx, desk.Request{
		Game: game, Staff: o.season.request.Staff, ReadOnly: o.readOnly, Port: o.port,
		Log: slog.New(slog.DiscardHandler), Events: func(e render.Event) {
			if bars.show(e); e.Done == e.Total {
				bars.done()
			}
		},
	})
	if err != nil {
		return err
	}
	defer server.Close()
	for _, missing := range server.Missing {
		fmt.Fprintln(o.Err, "not shown:", terminal.OneLine(missing))
	}
	fmt.Fprintln(o.Out, server.Address())
	if !o.noOpen {
		desk.Browse(ctx, server.Address())
	}
	return server.Serve(ctx)
}
