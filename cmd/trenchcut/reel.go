package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trenchcut/cmd/internal/help"
	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/farm"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

type reelOptions struct {
	makerOptions
	choose chooseOptions
	recipe recipeOptions
	flags  *pflag.FlagSet

	title    string
	out      string
	plays    bool
	order    []string
	limit    int
	angles   []string
	shape    string
	damaged  string
	planOnly bool
	quick    bool
}

func newReelCommand(s streams) *cobra.Command {
	o := &reelOptions{makerOptions: makerOptions{streams: s}}
	cmd := &cobra.Command{
		Use:   "reel [term…]",
		Short: "Cut the chosen reps into one reel",
		Long: `Reel cuts the reps that meet every term from the film of the games, labels
them, and joins them between a title slate and a slate with their numbers. It
shows each play once on each angle. What was cut before is not cut again.

A recipe says how: correction, highlight, meeting, opponent, question and teach
come with the program. Flags, and --set with any key of a recipe (before, after,
reveal, names, quality, size, rate, mute …), overrule it; terms hold besides the
recipe's own.`,
		Example: `  trenchcut reel inside-counter set=short -t "Inside counters, short sets"
  trenchcut reel outcome=sack,strip-sack --order time-to-beat -o sacks.mp4
  trenchcut reel --plays down=3 --angles sideline --set mute=yes --set before=5s
  trenchcut reel -r correction rusher=91 -o marlow.mp4
  trenchcut reel -r teach move=spin`,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.choose.terms = args
			return o.logged(cmd.Context(), o.run)
		},
	}
	o.flags = cmd.Flags()
	o.choose.addFlags(cmd)
	o.recipe.addFlags(cmd)
	o.addFlags(cmd)
	o.at.addFlags(cmd)
	o.addBeside(cmd)
	f := o.flags
	f.StringVarP(&o.title, "title", "t", "", "`words` for the title of the reel")
	f.StringVarP(&o.out, "output", "o", "", "`file` to write the reel to (default: the title, as .mp4)")
	f.BoolVar(&o.plays, "plays", false, "choose plays, with or without a rep tagged")
	f.StringSliceVar(&o.order, "order", nil, "by film, outcome, time-to-beat, down, stakes, point or why, in these `orders`")
	f.IntVar(&o.limit, "limit", 0, "`number` of plays to show at most, in each section")
	f.StringSliceVar(&o.angles, "angles", nil, "`angles` to show, in this order")
	f.StringVar(&o.shape, "shape", "", "`outline`: wide; phone, which follows the rush; tall, two angles in step; or square")
	f.StringVar(&o.maxSize, "max-size", "", "most it may take, a `size` such as 200MB: quality gives way")
	f.BoolVar(&o.beside.Index, "index", false, "write index.html, which lists the reels of its folder")
	f.BoolVar(&o.quick, "quick", false, "make a look at it in seconds, without re-encoding")
	f.BoolVar(&o.planOnly, "plan", false, "print the plan as JSON and make nothing")
	addDamaged(cmd, &o.damaged)
	f.BoolVar(&o.beside.PDF, "pdf", false, "print the practice sheet as PDF, by a Chromium")
	help.Rare(cmd, "plan", "pdf")
	exclusive(cmd, "plan", "quick", "page", "practice", "index")
	exclusive(cmd, "quick", "page", "practice", "index")
	return cmd
}

// settings is what flags of their own say of the recipe.
func (o *reelOptions) settings() []plan.Setting {
	var list []plan.Setting
	for _, s := range []plan.Setting{
		{Key: "title", Value: o.title},
		{Key: "plays", Value: map[bool]string{true: "yes", false: "no"}[o.plays]},
		plan.List("order", o.order),
		{Key: "limit", Value: strconv.Itoa(o.limit)},
		plan.List("angles", o.angles),
		{Key: "shape", Value: o.shape},
		{Key: "damaged", Value: o.damaged},
	} {
		if o.flags.Changed(s.Key) {
			list = append(list, s)
		}
	}
	return list
}

func (o *reelOptions) run(ctx context.Context) error {
	began := time.Now()
	maker, recipe, err := o.read(&o.recipe, o.choose, o.settings()...)
	if err != nil {
		return err
	}
	defer o.bars.Done()
	draft, err := o.choose.draft(ctx, recipe)
	if err != nil {
		return err
	}
	if o.planOnly {
		p, err := maker.Plan(ctx, draft)
		if err != nil {
			return err
		}
		return printJSON(o.streams.Out, p)
	}
	out, err := draft.Output(o.out)
	if err != nil {
		return err
	}
	if o.quick {
		return o.runQuick(ctx, maker, draft, out)
	}
	stop, err := o.spread(ctx, maker, farm.Awaited)
	if err != nil {
		return err
	}
	defer stop()
	report, err := maker.Make(ctx, draft, out)
	o.bars.Done()
	if report.Made {
		for _, few := range report.Plan.Few {
			fmt.Fprintf(o.streams.Err, "too few: %s\n", few)
		}
		_, said := fmt.Fprintln(o.streams.Out, strings.Join(report.Lines(o.beside), "\n"))
		err = errors.Join(err, said)
	}
	if err == nil {
		err = o.streams.summary(began, o.next(report))
	}
	return err
}

// next is what can be done with a reel that was made.
func (o *reelOptions) next(r reel.Report) string {
	switch {
	case o.beside.Page:
		return "open " + reel.Stem(r.Out) + reel.PageSuffix + ", a page that plays it on any computer or phone."
	case o.beside.Practice:
		return "print " + reel.Stem(r.Out) + reel.PracticeSuffix + "."
	default:
		return "play " + r.Out + ", or give the same command with --page for a page that plays it."
	}
}

// draft chooses what a recipe asks for in the games.
func (o *chooseOptions) draft(ctx context.Context, recipe reel.Recipe) (*reel.Draft, error) {
	s, err := o.season.load(ctx, session.FilmOfGames)
	if err != nil {
		return nil, err
	}
	draft, err := reel.Choose(ctx, s, recipe)
	if err != nil && !errors.Is(err, plan.ErrNothing) {
		return nil, err // terms that are wrong are nearer to whoever typed them
	}
	if err := s.Faults.Err(); err != nil {
		return nil, err
	}
	return draft, err
}

// runQuick makes a reel to look at, and says what it lacks.
func (o *reelOptions) runQuick(ctx context.Context, maker *reel.Maker, draft *reel.Draft, out string) error {
	report, err := maker.Quick(ctx, draft, out)
	o.bars.Done()
	if errors.Is(err, render.ErrNotQuick) {
		return fmt.Errorf("%w: leave --quick out", err)
	}
	if err != nil {
		return err
	}
	return terminal.Paragraphs(o.streams.Out, fmt.Sprintf(
		"%s: %s, %s. A quick look, not to be handed out: clips hold up to %.1f s more than was asked for, labels are a subtitle track, and there are no slates, no clock and no numbers.",
		out, tags.Count(report.Clips, "clip"), report.Length, report.More.Seconds()))
}
