package main

import (
	"context"
	"errors"
	"fmt"
	"runtime"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/paper"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
)

// recipeOptions says by which recipe a command works.
type recipeOptions struct {
	name     string
	settings []string
}

func (o *recipeOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVarP(&o.name, "recipe", "r", "", "recipe `file` (*.reel.yaml), or the name of one of ours")
	o.addSet(cmd)
	complete(cmd, "recipe", cobra.FixedCompletions(reel.RecipeNames(), cobra.ShellCompDirectiveDefault))
}

// addSet adds the flag that says keys of a recipe.
func (o *recipeOptions) addSet(cmd *cobra.Command) {
	cmd.Flags().StringArrayVarP(&o.settings, "set", "s", nil, "`key=value` of the recipe; may be given again")
	var offers []string
	for _, key := range plan.SettingKeys() {
		offers = append(offers, key+"=")
	}
	complete(cmd, "set", cobra.FixedCompletions(offers, cobra.ShellCompDirectiveNoFileComp|cobra.ShellCompDirectiveNoSpace))
}

// addDamaged adds the flag that says what becomes of damaged film.
func addDamaged(cmd *cobra.Command, into *string) {
	cmd.Flags().StringVar(into, "damaged", "", "`what` becomes of plays whose film is damaged: refuse, leave-out or show")
	complete(cmd, "damaged", cobra.FixedCompletions(plan.DamagedNames(), cobra.ShellCompDirectiveNoFileComp))
}

// request is what the flags ask for: settings of flags of their own, then those of --set.
func (o *recipeOptions) request(choose chooseOptions, flags ...plan.Setting) (reel.Request, error) {
	q := reel.Request{Recipe: o.name, Settings: flags, Terms: choose.terms, Where: choose.where}
	for _, text := range o.settings {
		s, err := plan.ParseSetting(text)
		if err != nil {
			return q, fmt.Errorf("--set: %w", err)
		}
		q.Settings = append(q.Settings, s)
	}
	return q, nil
}

// makerOptions says how reels are made.
type makerOptions struct {
	streams streams
	log     logOptions
	bars    *terminal.Bars
	encoder string
	maxSize string
	force   bool
	beside  reel.Beside
	jobs    int
	at      atOptions
}

func (o *makerOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.encoder, "encoder", "", "`name` of an encoder: libx264, auto, or one that doctor proved")
	f.IntVar(&o.jobs, "jobs", runtime.NumCPU(), "`number` of segments to cut at once")
	o.log.addFlags(f)
	help.Rare(cmd, "encoder", "jobs", "log-json")
}

// addBeside adds the flags of what lies beside a reel.
func (o *makerOptions) addBeside(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&o.beside.Page, "page", false, "write a page that plays it, with contact sheet and chapters")
	f.BoolVar(&o.beside.Practice, "practice", false, "write a sheet to print: what to watch and to work on")
	f.BoolVar(&o.force, "force", false, "replace files that trenchcut did not write")
}

// logged carries out work, and tells what is decided on the way as was asked.
func (o *makerOptions) logged(ctx context.Context, work func(context.Context) error) error {
	stop, err := o.log.open(o.streams)
	if err != nil {
		return err
	}
	return stop(work(ctx))
}

// read is what the flags ask for: how reels are made, and by which recipe. All that is wrong
// with them is told at once.
func (o *makerOptions) read(by *recipeOptions, choose chooseOptions, flags ...plan.Setting) (*reel.Maker, reel.Recipe, error) {
	maker, errMaker := o.maker()
	request, errRequest := by.request(choose, flags...)
	recipe, err := reel.ReadRecipe(request)
	if wrong := errors.Join(errMaker, errRequest); wrong != nil {
		return nil, recipe, tags.WrongRequest(errors.Join(err, wrong))
	}
	for _, a := range recipe.Adjusted {
		fmt.Fprintf(o.streams.Err, "look: not readable as it is, so %s\n", a)
	}
	return maker, recipe, err
}

func eventsOf(b *terminal.Bars) render.Events {
	return func(e render.Event) { b.Show(string(e.Stage), int64(e.Done), int64(e.Total)) }
}

// maker is a maker of reels as the flags say. Its progress bar is taken off by o.bars.done.
func (o *makerOptions) maker() (*reel.Maker, error) {
	if o.jobs < 1 {
		return nil, errors.New("--jobs wants at least 1")
	}
	o.bars = o.streams.bars()
	m := &reel.Maker{
		Workers: o.jobs, Encoder: o.encoder, Force: o.force, Beside: o.beside,
		TellSize: o.streams.IsTerminal, Log: o.log.Logger, Events: eventsOf(o.bars),
	}
	if o.maxSize != "" {
		var err error
		if m.MaxBytes, err = reel.ParseSize(o.maxSize); err != nil {
			return nil, fmt.Errorf("--max-size: %w", err)
		}
	}
	if o.beside.PDF {
		if !o.beside.Practice {
			return nil, errors.New("--pdf prints the practice sheet: --practice makes one")
		}
		var err error
		if m.Printer, err = paper.Find(); err != nil {
			return nil, fmt.Errorf("--pdf: %w", err)
		}
	}
	return m, nil
}
