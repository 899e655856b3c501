package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

type warmOptions struct {
	makerOptions
	choose chooseOptions
	recipe recipeOptions

	damaged string
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
	o.at.addFlags(cmd)
	addDamaged(cmd, &o.damaged)
	return cmd
}

func (o *warmOptions) run(ctx context.Context) error {
	began := time.Now()
	var flags []plan.Setting
	if o.damaged != "" {
		flags = append(flags, plan.Setting{Key: "damaged", Value: o.damaged})
	}
	maker, recipe, err := o.read(&o.recipe, o.choose, flags...)
	if err != nil {
		return err
	}
	defer o.bars.Done()
	draft, err := o.choose.draft(ctx, recipe)
	if err != nil {
		return err
	}
	stop, err := o.spread(ctx, maker, farm.Ahead)
	if err != nil {
		return err
	}
	defer stop()
	distinct, rendered, err := maker.Warm(ctx, draft)
	o.bars.Done()
	if err != nil {
		return err
	}
	if _, err = fmt.Fprintf(o.streams.Out, "%s ready, %d new\n", tags.Count(distinct, "segment"), rendered); err != nil {
		return err
	}
	return o.streams.summary(began, "reels of these plays by this recipe are joined without cutting.")
}
