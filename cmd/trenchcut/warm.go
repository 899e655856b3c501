package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
)

type warmOptions struct {
	makerOptions
	choose chooseOptions
	recipe recipeOptions
}

func newWarmCommand(s streams) *cobra.Command {
	o := &warmOptions{makerOptions: makerOptions{streams: s}}
	cmd := &cobra.Command{
		Use:   "warm [term…]",
		Short: "Cut the chosen reps ahead of time, for reels to come",
		Long: `Warm cuts what reels of the chosen reps will need and keeps it: each rep by
itself, and each play with all of its chosen reps. It makes no reel. A reel
asked for later needs only its slates.`,
		Example: `  trenchcut warm
  trenchcut warm -r meeting -g week1,week2`,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.choose.terms = args
			return o.logged(cmd.Context(), o.run)
		},
	}
	o.choose.addFlags(cmd)
	o.recipe.addFlags(cmd)
	o.addFlags(cmd)
	cmd.Flags().BoolVar(&o.keepGoing, "keep-going", false, "cut all that can be cut before telling what cannot")
	return cmd
}

func (o *warmOptions) run(ctx context.Context) error {
	maker, recipe, err := o.read(&o.recipe, o.choose)
	if err != nil {
		return err
	}
	defer o.bars.done()
	draft, err := o.choose.draft(ctx, recipe)
	if err != nil {
		return err
	}
	distinct, rendered, err := maker.Warm(ctx, draft)
	o.bars.done()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s ready, %d new\n", plural(distinct, "segment"), rendered)
	return err
}
