package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/session"
	"trenchcut/tags/report"
)

type handoutOptions struct {
	makerOptions
	choose chooseOptions
	recipe recipeOptions

	recipes []string
	by      string
	names   string
	out     string
}

func newHandoutCommand(s streams) *cobra.Command {
	o := &handoutOptions{makerOptions: makerOptions{streams: s}}
	cmd := &cobra.Command{
		Use:   "handout [term…]",
		Short: "Make a folder for each player, with his reels in it",
		Long: `Handout makes a folder for each player, or for each value of another key,
with a reel by each recipe in it, and says who has too few reps. What reels
share is cut once. What lies in a player's folder names no other player. With
--page each folder has an index.html, which lists its reels.
"trenchcut check --share" looks through the folders before they are handed out.`,
		Example: `  trenchcut handout -r highlight,correction -o players
  trenchcut handout -r correction -o players --names number --page --practice
  trenchcut handout -r teach --by move -o moves`,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.choose.terms = args
			return o.logged(cmd.Context(), o.run)
		},
	}
	o.choose.addFlags(cmd)
	f := cmd.Flags()
	f.StringSliceVarP(&o.recipes, "recipe", "r", nil, "recipe `files`, or names of ours: a reel by each")
	f.StringVar(&o.by, "by", "rusher", "the `key` of whose values each has a folder")
	f.StringVar(&o.names, "names", "", "`how` players are named: full, number or none")
	f.StringVarP(&o.out, "output", "o", "", "`folder` to write the folders to")
	o.recipe.addSet(cmd)
	o.addFlags(cmd)
	o.at.addFlags(cmd)
	o.addBeside(cmd)
	o.choose.completeKeys(cmd, "by")
	return cmd
}

func (o *handoutOptions) run(ctx context.Context) error {
	if o.out == "" || len(o.recipes) == 0 {
		return wrongCall("handout wants --recipe, and a folder after --output")
	}
	began := time.Now()
	var maker *reel.Maker
	h := reel.Handout{By: o.by, Terms: o.choose.terms, Where: o.choose.where, Folder: o.out}
	for _, name := range o.recipes {
		var flags []plan.Setting
		if o.names != "" {
			flags = append(flags, plan.Setting{Key: "names", Value: o.names})
		}
		o.recipe.name = name
		var recipe reel.Recipe
		var err error
		if maker, recipe, err = o.read(&o.recipe, o.choose, flags...); err != nil {
			return err
		}
		h.Recipes = append(h.Recipes, recipe)
	}
	maker.Beside.Index = maker.Beside.Page
	defer o.bars.Done()
	s, err := o.choose.season.loadFaultless(ctx, session.FilmOfGames)
	if err != nil {
		return err
	}
	stop, err := o.spread(ctx, maker, farm.Awaited)
	if err != nil {
		return err
	}
	defer stop()
	reels, err := maker.Handout(ctx, s, h)
	o.bars.Done()
	if err != nil {
		return err
	}
	if err := terminal.Blocks(o.streams.Out, []report.Block{h.Block(reels)}); err != nil {
		return err
	}
	if err := terminal.Paragraphs(o.streams.Out, h.Counted(reels)); err != nil {
		return err
	}
	return o.streams.summary(began, fmt.Sprintf("look through them with check --share, which says whether a folder in %s tells of another player.", o.out))
}
