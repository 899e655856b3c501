package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/desk"
	"trenchcut/pipeline/outline"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

type markOptions struct {
	streams
	season   seasonOptions // for the staff's words
	port     int
	noOpen   bool
	readOnly bool
	lan      bool
	film     []string
	sheet    string
	columns  string
	at       atOptions
}

func newMarkCommand(s streams) *cobra.Command {
	o := &markOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "mark GAME.game.yaml",
		Short: "Tag a game on a page, film and form side by side",
		Long: `Mark opens a page on this computer, at which a game is tagged as fast as it is
watched: the film large, a line of time, and one form that follows the keys. The
address is printed; whoever has it may tag the game, and no other computer can,
unless --lan lets the devices of this network: over TLS, by a certificate made
for this run, whose fingerprint is printed for comparing. Ctrl-C ends it.

There are two passes, for different people on different days. In the first each
play gets its in, out and snap, guesses of outline are confirmed by one key, and
the situation is said. In the second each rep gets who, where, move, set,
battle, outcome and marks. Marks are the frame on the screen. On the page ?
lists all keys; a staff's own go into *.keys.yaml beside the game, below a line
"trenchcut: 1", such as "snap: j" (trenchcut schema keys). The tab Reel plays
chosen reps at once, with what their reel draws over it, and makes it.

With --film it begins before there is a tag file: it looks through the film as
outline does, shows what it understood of the sheet, and each play of the sheet
beside its shots. A shot that is under the wrong play is dragged to the right
one; all behind it follow. A column that means something else is pressed, and
what was said is kept in the file of --columns, or one beside the sheet, when it
is asked for. Then the tag file is written, and the tagging begins.

The tag file stays yours: comments, order and spacing are kept, each change is
in the file once the page says Saved, and what you or others type into the file
at the same time is taken in and never written over. What the file cannot hold
yet, such as a rep with no battle and no outcome, is kept in the folder .marking
beside it, and so is all that can be undone.`,
		Example: `  trenchcut mark wk1.game.yaml
  trenchcut mark wk1.game.yaml --port 4711 --no-open
  trenchcut mark wk1.game.yaml --read-only
  trenchcut mark wk3.game.yaml --film ez.mp4 --film sl.mp4 --sheet plays.csv`,
		Args: oneArgument("tag file", false),
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd.Context(), args[0]) },
	}
	f := cmd.Flags()
	f.IntVar(&o.port, "port", 0, "listen on this `port` (default: any that is free)")
	f.BoolVar(&o.noOpen, "no-open", false, "only print the address and open no browser")
	f.BoolVar(&o.readOnly, "read-only", false, "show the game and change nothing")
	f.BoolVar(&o.lan, "lan", false, "let other devices of this network tag too, over TLS")
	f.StringArrayVar(&o.film, "film", nil, "untagged `[angle=]film` of a game that has no tag file yet, as of outline")
	f.StringVar(&o.sheet, "sheet", "", "with --film: play sheet `file` whose plays the shots are")
	f.StringVar(&o.columns, "columns", "", "with --sheet: column mapping `file`, as of import")
	f.StringSliceVar(&o.season.request.Staff.Keys, "keys", nil, "the staff's own keys, `files` (default: *.keys.yaml with the game)")
	o.at.addFlags(cmd)
	help.Rare(cmd, "keys", "at")
	o.season.addStaffFlags(cmd)
	return cmd
}

func (o *markOptions) run(ctx context.Context, game string) error {
	if o.port < 0 || o.port > 65535 {
		return wrongCall("--port %d: want 0 to 65535", o.port)
	}
	intake, err := o.intake(game)
	if err != nil {
		return err
	}
	at, err := o.at.place()
	if err != nil {
		return tags.WrongRequest(err)
	}
	debug.SetMemoryLimit(markMemory) // a laptop has film, a browser and more open beside it
	bars := o.streams.bars()
	server, err := desk.Open(ctx, desk.Request{
		Game: game, Staff: o.season.request.Staff, ReadOnly: o.readOnly, Port: o.port, LAN: o.lan, Intake: intake, At: at,
		Log: slog.New(slog.DiscardHandler), Events: func(e render.Event) {
			if bars.Show(string(e.Stage), int64(e.Done), int64(e.Total)); e.Done == e.Total {
				bars.Done()
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
	for _, other := range server.Others() {
		fmt.Fprintln(o.Err, "on another network of this computer:", other)
	}
	if o.lan {
		fmt.Fprintf(o.Err, lanMeans, server.Fingerprint())
	}
	if !o.noOpen {
		desk.Browse(ctx, server.Address())
	}
	return server.Serve(ctx)
}

// markMemory is how many bytes the program keeps to while a game is tagged.
const markMemory = 150 << 20

// lanMeans says what serving the network means.
const lanMeans = `Every device on this network that is given this address can watch the film and tag
the game, and film may show minors: give it to nobody else. What is sent is
encrypted. The browser warns, because nobody vouches for the certificate: go on
only where it shows this SHA-256 fingerprint:
%s
`

// intake is the untagged film that the flags name; nil is none.
func (o *markOptions) intake(game string) (*outline.Request, error) {
	var errs []error
	if o.columns != "" && o.sheet == "" {
		errs = append(errs, errors.New("--columns goes with --sheet"))
	}
	if o.sheet != "" && len(o.film) == 0 {
		errs = append(errs, errors.New("--sheet goes with --film"))
	}
	if o.readOnly && len(o.film) > 0 {
		errs = append(errs, errors.New("--film makes a tag file, and --read-only makes none"))
	}
	if err := errors.Join(errs...); err != nil || len(o.film) == 0 {
		return nil, calledWrong(err)
	}
	r, err := outline.ParseRequest(o.film, outline.UsualFloor, nil, nil)
	if err != nil {
		return nil, usageError{err}
	}
	r.File, r.Sheet, r.Columns = game, o.sheet, o.columns
	r.Vocabulary, err = o.season.vocabularyBeside(game)
	return &r, err
}
