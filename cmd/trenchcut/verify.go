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
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageError{fmt.Errorf("%s takes one reel, got %d", cmd.CommandPath(), len(args)), cmd.CommandPath()}
			}
			return nil
		},
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
	defer o.bars.done()
	s, err := o.season.load(ctx, session.FilmOfGames)
	if err != nil {
		return err
	}
	if err := s.Faults.Err(); err != nil {
		return err
	}
	v, err := maker.Verify(ctx, s, o.reel, o.every)
	o.bars.done()
	if err != nil {
		return err
	}
	for _, f := range v.Missing {
		fmt.Fprintf(o.streams.Err, "film %s is not among the games, or is not as it was when the reel was made\n", f.File)
	}
	if n := len(v.Missing); n > 0 {
		return fmt.Errorf("%s is whole, but %s of %d cannot be vouched for", o.reel, tags.Count(n, "film"), len(v.Manifest.Films))
	}
	last := ""
	for _, e := range v.Manifest.Entries {
		if e.Damaged != "" && e.Chapter != last {
			last = e.Chapter
			fmt.Fprintf(o.streams.Err, "%s shows film that is damaged %s\n", e.Chapter, terminal.OneLine(e.Damaged))
		}
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s: %d frames, as its manifest says, %d of them compared with the film, from %s that are as they were\n",
		o.reel, v.Manifest.Reel.Frames, v.Compared, tags.Count(len(v.Manifest.Films), "film"))
	return err
}
