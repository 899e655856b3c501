package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

type verifyOptions struct {
	makerOptions
	season seasonOptions
	reel   string
	every  bool
}

func newVerifyCommand(s streams) *cobra.Command {
	o := &verifyOptions{makerOptions: makerOptions{streams: s}}
	cmd := &cobra.Command{
		Use:   "verify reel.mp4",
		Short: "Hold a reel to its manifest and to the film",
		Long: `Verify decodes a reel, holds it to its manifest, the .reel.json beside it, and
compares its pictures with the film of the games it was cut from, decoded anew:
the first, the last and the middle one of each clip, or every one.`,
		Example: "  trenchcut verify inside.mp4",
		Args:    oneArgument("reel", false),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.reel = args[0]
			return o.logged(cmd.Context(), o.run)
		},
	}
	o.season.addFlags(cmd)
	o.addFlags(cmd)
	cmd.Flags().BoolVar(&o.every, "every-frame", false, "compare every frame, which takes longer")
	return cmd
}

func (o *verifyOptions) run(ctx context.Context) error {
	maker, err := o.maker()
	if err != nil {
		return tags.WrongRequest(err)
	}
	defer o.bars.Done()
	s, err := o.season.loadFaultless(ctx, session.FilmOfGames)
	if err != nil {
		return err
	}
	v, err := maker.Verify(ctx, s, o.reel, o.every)
	o.bars.Done()
	if err != nil {
		return err
	}
	if err := terminal.Lines(o.streams.Err, v.Doubts()...); err != nil {
		return err
	}
	if n := len(v.Missing); n > 0 {
		return fmt.Errorf("%s is whole, but %s of %d cannot be vouched for", o.reel, tags.Count(n, "film"), len(v.Manifest.Films))
	}
	films, unchanged := len(v.Manifest.Films), "that are as they were"
	if films == 1 {
		unchanged = "that is as it was"
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s: %d frames, as its manifest says, %d of them compared with the film, from %s %s\n",
		o.reel, v.Manifest.Reel.Frames, v.Compared, tags.Count(films, "film"), unchanged)
	return err
}
