package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/templates"
)

type reelOptions struct {
	streams streams
	choose  chooseOptions
	flags   *pflag.FlagSet

	recipeFile string
	title      string
	out        string
	plays      bool
	order      []string
	limit      int
	angles     []string
	before     string
	after      string
	beyond     bool
	reveal     string
	size       string
	rate       string
	mute       bool
	planOnly   bool
	force      bool
	keepGoing  bool
	quick      bool
	each       string
	names      string
	quality    string
	maxSize    string
	maxBytes   int64
	warm       bool
	verify     string
	page       bool
	jobs       int
}

func newReelCommand(s streams) *cobra.Command {
	o := &reelOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "reel [term…]",
		Short: "Cut the chosen reps into one reel",
		Long: `Reel cuts the reps that meet every term from the film of the games, labels them,
and joins them between a title slate and a slate with their numbers. Each play
is shown once on each angle, from three seconds before the snap to one after the
finish, never outside its in and out.

What was cut before is kept and not cut again; --warm cuts ahead of time, each
rep by itself and each play with all of its chosen reps.

A recipe may have sections, show plays again, slowed or stopped at what is drawn
and at the point to teach, and after each loss the win most like it. Ours are:
correction, highlight, meeting, opponent, question. "trenchcut reel --plan"
shows what a recipe comes to.`,
		Example: `  trenchcut reel inside-counter set=short -t "Inside counters, short sets"
  trenchcut reel outcome=sack,strip-sack --order time-to-beat -o sacks.mp4
  trenchcut reel --plays down=3 --angles sideline --mute
  trenchcut reel -r meeting -g week1,week2
  trenchcut reel -r correction rusher=91 -o marlow.mp4
  trenchcut reel -r opponent blocker=harbor72
  trenchcut reel -r highlight,correction --each rusher -o players`,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.choose.terms = args
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	f := cmd.Flags()
	o.flags = f
	f.StringVarP(&o.recipeFile, "recipe", "r", "", "recipe `file` (*.reel.yaml), or the name of one of ours; terms hold besides its own, flags overrule it")
	f.StringVarP(&o.title, "title", "t", "", "`words` for the title of the reel")
	f.StringVarP(&o.out, "output", "o", "", "`file` to write the reel to (default: the title, as .mp4)")
	f.BoolVar(&o.plays, "plays", false, "choose plays, whether or not a rep is tagged")
	f.StringSliceVar(&o.order, "order", nil, "`orders` to show it in: film, outcome, time-to-beat, down or point; where equal, by the next")
	f.IntVar(&o.limit, "limit", 0, "`number` of plays to show at most, of each section")
	f.StringSliceVar(&o.angles, "angles", nil, "`angles` to show, in this order")
	f.StringVar(&o.before, "before", "", "`time` to show before the snap, such as 3s")
	f.StringVar(&o.after, "after", "", "`time` to show after the finish")
	f.BoolVar(&o.beyond, "beyond", false, "let before and after reach past in and out")
	f.StringVar(&o.reveal, "reveal", "", "`when` labels tell the outcome: after or before the play")
	f.StringVar(&o.size, "size", "", "`size` of the picture, such as 720p or 1280x720")
	f.StringVar(&o.rate, "rate", "", "`frames` a second, such as 29.97")
	f.BoolVar(&o.quick, "quick", false, "make a reel to look at in seconds, without coding film")
	f.StringVar(&o.each, "each", "", "make a folder for each value of a `key`, such as rusher, with a reel by each recipe in it")
	f.StringVar(&o.names, "names", "", "`how` players are named: full, number or none")
	f.StringVar(&o.quality, "quality", "", "`name` of the quality: small, standard or fine")
	f.StringVar(&o.maxSize, "max-size", "", "the most the reel may take, as a `size` such as 200MB: less quality, then a smaller picture, until it fits")
	f.BoolVar(&o.mute, "mute", false, "leave the sound out")
	f.BoolVar(&o.planOnly, "plan", false, "print the plan as JSON and make nothing")
	f.BoolVar(&o.force, "force", false, "replace a file that is no reel")
	f.BoolVar(&o.keepGoing, "keep-going", false, "leave out plays whose film cannot be cut, and make the rest")
	f.BoolVar(&o.warm, "warm", false, "cut every chosen rep and keep it, for reels to come; make none now")
	f.StringVar(&o.verify, "verify", "", "hold a `reel` to its manifest and to the film, and make none")
	f.BoolVar(&o.page, "page", false, "write beside the reel a page that plays it, a contact sheet, and chapters and captions as WebVTT")
	exclusive(cmd, "output", "warm")
	exclusive(cmd, "output", "verify")
	exclusive(cmd, "plan", "warm", "verify", "quick", "each")
	exclusive(cmd, "page", "plan")
	exclusive(cmd, "page", "warm")
	exclusive(cmd, "page", "verify")
	f.IntVar(&o.jobs, "jobs", runtime.NumCPU(), "`number` of segments to cut at once")
	o.choose.completeKeys(cmd, "each")
	// They fail only for a flag there is not.
	_ = cmd.RegisterFlagCompletionFunc("recipe", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return recipeNames(), cobra.ShellCompDirectiveDefault
	})
	return cmd
}

func (o *reelOptions) run(ctx context.Context) error {
	switch {
	case o.verify != "":
		return o.check(ctx)
	case o.each != "":
		return o.runEach(ctx)
	}
	recipe, err := o.recipe()
	if err != nil {
		return err
	}
	o.choose.terms, o.choose.where = recipe.Choose, recipe.Where
	season, q, err := o.choose.load(ctx, true)
	if err != nil {
		return err
	}
	parts, err := chooseParts(season, recipe)
	if err != nil {
		return err
	}
	asked := q.String()
	if recipe.Title == "" {
		recipe.Title = titleOf(asked)
	}
	if err := o.checkAngles(season, recipe.Angles); err != nil {
		return err
	}
	films := o.choose.season.films
	if o.warm {
		return o.cutAhead(ctx, season, parts, recipe)
	}
	build := func() (*plan.Plan, error) { return plan.BuildParts(season, parts, asked, recipe, films) }
	p, err := build()
	if err != nil {
		return err
	}
	if o.planOnly {
		return printJSON(o.streams.Out, p)
	}
	out, err := o.output(recipe.Title, films)
	if err != nil {
		return err
	}
	if o.quick {
		return o.makeQuick(ctx, p, out)
	}
	var left []error // of film that could not be cut
	for {
		err := o.makeWithPage(ctx, season, p, out)
		var failed *render.FailedError
		var large *render.TooLargeError
		switch {
		case o.keepGoing && errors.As(err, &failed) && left == nil:
			// The slates tell of exactly what is shown, so the rest is planned anew.
			for _, i := range failed.Entries {
				for j := range parts {
					parts[j].Choice = parts[j].Without(p.Entries[i].Game, p.Entries[i].Play)
				}
			}
			left = append(left, err)
		case errors.As(err, &large):
			smaller, ok := recipe.Smaller(p.House)
			if !ok {
				return errors.Join(append(left, fmt.Errorf("the smallest reel there is takes %s", size(large.Bytes)))...)
			}
			recipe = smaller
			fmt.Fprintf(o.streams.Err, "%s is too much: trying it smaller\n", size(large.Bytes))
		default:
			return errors.Join(append(left, err)...)
		}
		if p, err = build(); err != nil {
			return errors.Join(append(left, err)...)
		}
	}
}

// makeQuick makes a reel to look at, in seconds, and says what it lacks.
func (o *reelOptions) makeQuick(ctx context.Context, p *plan.Plan, out string) error {
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	report, err := maker.Quick(ctx, p, out, o.force, bars.show)
	bars.done()
	switch {
	case errors.Is(err, render.ErrNotOurs):
		return usageError{err: fmt.Errorf("%s is there already; --force replaces it", out)}
	case errors.Is(err, render.ErrNotQuick):
		return fmt.Errorf("%w: leave --quick out", err)
	case err != nil:
		return err
	}
	for _, left := range p.LeftOut {
		fmt.Fprintf(o.streams.Err, "left out: %s\n", left)
	}
	return printWrapped(o.streams.Out, outWidth(o.streams.Out), fmt.Sprintf(
		"%s: %s, %s. A quick look, not to be handed out: clips hold up to %.1f s more than was asked for, labels are a subtitle track, and there are no slates, no clock and no numbers.",
		out, plural(report.Clips, "clip"), report.Length, report.More.Seconds()))
}

// cutAhead renders what reels of the choice will need, and joins nothing.
func (o *reelOptions) cutAhead(ctx context.Context, season *tags.Season, parts []plan.Part, recipe plan.Recipe) error {
	segments, leftOut, err := plan.Ahead(season, parts, recipe, o.choose.season.films)
	if err != nil {
		return err
	}
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	maker.KeepGoing = o.keepGoing
	bars := &bars{streams: o.streams}
	defer bars.done()
	distinct, rendered, err := maker.Warm(ctx, segments, bars.show)
	bars.done()
	for _, left := range leftOut {
		fmt.Fprintf(o.streams.Err, "left out: %s\n", left)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s ready, %d new\n", plural(distinct, "segment"), rendered)
	return err
}

// check holds a reel to its manifest and to the film of the games.
func (o *reelOptions) check(ctx context.Context) error {
	_, faults, err := o.choose.season.read(ctx, true)
	if err != nil {
		return err
	}
	if err := faults.Err(); err != nil {
		return err
	}
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	v, err := maker.Verify(ctx, o.verify, o.choose.season.shop.library, bars.show)
	bars.done()
	if err != nil {
		return err
	}
	for _, f := range v.Missing {
		fmt.Fprintf(o.streams.Err, "film %s is not among the games, or is not as it was when the reel was made\n", f.File)
	}
	if n := len(v.Missing); n > 0 {
		return fmt.Errorf("%s is whole, but %s of %d cannot be vouched for", o.verify, plural(n, "film"), len(v.Manifest.Films))
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s: %d frames, as its manifest says, from %s that are as they were\n",
		o.verify, v.Manifest.Reel.Frames, plural(len(v.Manifest.Films), "film"))
	return err
}

// checkAngles holds the angles asked for to those of the games.
func (o *reelOptions) checkAngles(season *tags.Season, angles []string) error {
	var known []string
	for _, p := range season.Plays() {
		known = append(known, p.Angles()...)
	}
	slices.Sort(known)
	known = slices.Compact(known)
	var wrong []error
	for _, a := range angles {
		if !slices.Contains(known, a) {
			wrong = append(wrong, fmt.Errorf("no game has the angle %q; %s", a, tags.DidYouMean(a, known)))
		}
	}
	if len(wrong) > 0 {
		return usageError{err: errors.Join(wrong...), help: "trenchcut reel"}
	}
	return nil
}

// make renders the reel of p and says what came of it.
func (o *reelOptions) make(ctx context.Context, p *plan.Plan, out string) error {
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	maker.KeepGoing, maker.MaxBytes = o.keepGoing, o.maxBytes
	bars := &bars{streams: o.streams}
	defer bars.done()
	report, err := maker.Make(ctx, p, out, o.force, bars.show)
	bars.done()
	if errors.Is(err, render.ErrNotOurs) {
		return usageError{err: fmt.Errorf("%w; --force replaces both", err)}
	}
	if err != nil {
		return err
	}
	for _, left := range p.LeftOut {
		fmt.Fprintf(o.streams.Err, "left out: %s\n", left)
	}
	length := p.House.Rate.Duration(report.Frames)
	done := fmt.Sprintf("%s, %d new", plural(report.Segments, "segment"), report.Rendered)
	if report.Unchanged {
		done = "unchanged"
	}
	_, err = fmt.Fprintf(o.streams.Out, "%s: %s, %s, %d×%d at %s frames a second (%s)\n",
		out, plural(p.Clips(), "clip"), length, p.House.Width, p.House.Height, p.House.Rate, done)
	return err
}

// recipe is the default recipe, the recipe file over it, and the flags over both.
func (o *reelOptions) recipe() (plan.Recipe, error) {
	r, err := plan.DefaultRecipe()
	if err != nil {
		return r, err
	}
	if o.recipeFile != "" {
		file, data, err := readRecipe(o.recipeFile)
		if err != nil {
			return r, usageError{err: fmt.Errorf("read the recipe: %w", err)}
		}
		if r, err = plan.ParseRecipe(file, data, r); err != nil {
			return r, err
		}
	}
	r.Choose = append(r.Choose, o.choose.terms...)
	var wrong []error
	if o.flags.Changed("order") {
		r.Order = nil
		for _, name := range o.order {
			order, err := plan.ParseOrder(name)
			if err != nil {
				wrong = append(wrong, fmt.Errorf("--order: %w", err))
			}
			r.Order = append(r.Order, order)
		}
	}
	if o.limit < 0 {
		wrong = append(wrong, errors.New("--limit wants at least 1, or 0 for all"))
	}
	overrule(o.flags, "limit", &r.Limit, o.limit)
	overrule(o.flags, "where", &r.Where, o.choose.where)
	overrule(o.flags, "title", &r.Title, o.title)
	overrule(o.flags, "plays", &r.Plays, o.plays)
	overrule(o.flags, "angles", &r.Angles, o.angles)
	overrule(o.flags, "beyond", &r.Beyond, o.beyond)
	overrule(o.flags, "mute", &r.Mute, o.mute)
	parse(o.flags, "before", &r.Before, o.before, plan.ParsePad, &wrong)
	parse(o.flags, "after", &r.After, o.after, plan.ParsePad, &wrong)
	parse(o.flags, "reveal", &r.Reveal, o.reveal, plan.ParseReveal, &wrong)
	parse(o.flags, "rate", &r.Rate, o.rate, plan.ParseRate, &wrong)
	parse(o.flags, "max-size", &o.maxBytes, o.maxSize, parseSize, &wrong)
	parse(o.flags, "names", &r.Names, o.names, plan.ParseNames, &wrong)
	if o.flags.Changed("quality") {
		q, err := plan.ParseQuality(o.quality)
		if err != nil {
			wrong = append(wrong, fmt.Errorf("--quality: %w", err))
		}
		r.Encoder = q.Encoder()
	}
	if o.flags.Changed("size") {
		if r.Width, r.Height, err = plan.ParseSize(o.size); err != nil {
			wrong = append(wrong, err)
		}
	}
	if err := draw.CheckLook(r.Look); err != nil {
		wrong = append(wrong, err)
	}
	if o.jobs < 1 {
		wrong = append(wrong, errors.New("--jobs wants at least 1"))
	}
	if len(wrong) > 0 {
		return r, usageError{err: errors.Join(wrong...), help: "trenchcut reel"}
	}
	return r, nil
}

// recipeSuffix is how the names of recipe files end.
const recipeSuffix = ".reel.yaml"

// readRecipe reads a recipe file, or one of those that come with the program by its name.
func readRecipe(name string) (file string, data []byte, err error) {
	data, err = os.ReadFile(name)
	if err == nil || !errors.Is(err, fs.ErrNotExist) || strings.ContainsAny(name, `/\.`) {
		return name, data, err
	}
	if ours, errOurs := templates.FS.ReadFile(name + recipeSuffix); errOurs == nil {
		return "templates/" + name + recipeSuffix, ours, nil
	}
	return name, nil, fmt.Errorf("%w; %s", err, tags.DidYouMean(name, recipeNames()))
}

// recipeNames is the recipes that come with the program.
func recipeNames() []string {
	files, _ := fs.Glob(templates.FS, "*"+recipeSuffix) // it fails only for a bad pattern
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f, recipeSuffix))
	}
	return names
}

// overrule sets what a flag that was given says.
func overrule[T any](flags *pflag.FlagSet, name string, into *T, value T) {
	if flags.Changed(name) {
		*into = value
	}
}

// parse is overrule for flags that are written in a form of their own.
func parse[T any](flags *pflag.FlagSet, name string, into *T, text string, parse func(string) (T, error), wrong *[]error) {
	if !flags.Changed(name) {
		return
	}
	v, err := parse(text)
	if err != nil {
		*wrong = append(*wrong, fmt.Errorf("--%s: %w", name, err))
		return
	}
	*into = v
}

// chooseParts finds what each section of a recipe asks for. That one finds nothing is no
// error where another does.
func chooseParts(season *tags.Season, recipe plan.Recipe) ([]plan.Part, error) {
	var parts []plan.Part
	var nothing error
	found := false
	for _, section := range recipe.Parts() {
		q, err := query.Parse(section.Choose, section.Where, season.Vocabulary, season)
		if err != nil {
			return nil, err
		}
		choice, err := choose(season, q, section.Plays)
		switch {
		case errors.Is(err, plan.ErrNothing):
			nothing = err
		case err != nil:
			return nil, err
		default:
			found = true
		}
		parts = append(parts, plan.Part{Section: section, Choice: choice})
	}
	if !found {
		return nil, nothing
	}
	return parts, nil
}

// choose finds what was asked for, by plays or by reps.
func choose(season *tags.Season, q *query.Query, byPlay bool) (plan.Choice, error) {
	choice := plan.Choice{Asked: q.String(), ByResult: q.ByResult()}
	if byPlay {
		choice.Plays = q.Plays(season).Plays
	} else {
		choice.Reps = q.Reps(season).Reps
		for _, rep := range choice.Reps {
			if n := len(choice.Plays); n == 0 || choice.Plays[n-1] != rep.Play {
				choice.Plays = append(choice.Plays, rep.Play)
			}
		}
	}
	if len(choice.Plays) == 0 {
		return choice, fmt.Errorf("%w: nothing tagged meets %s", plan.ErrNothing, choice.Asked)
	}
	return choice, nil
}

// titleOf makes a title of what was asked for.
func titleOf(asked string) string {
	asked = strings.ReplaceAll(asked, "-", " ")
	runes := []rune(asked)
	runes[0] = unicode.ToUpper(runes[0])
	return string(runes)
}

// output is the file to write, which must not be one of the films.
func (o *reelOptions) output(title string, films map[string]plan.Source) (string, error) {
	out := o.out
	if out == "" {
		out = fileName(title) + ".mp4"
	}
	if ext := filepath.Ext(out); !strings.EqualFold(ext, ".mp4") {
		return "", usageError{err: fmt.Errorf("output %s: reels are MP4, so its name ends in .mp4", out)}
	}
	if info, err := os.Stat(filepath.Dir(out)); err != nil || !info.IsDir() {
		return "", usageError{err: fmt.Errorf("output %s: there is no folder %s", out, filepath.Dir(out))}
	}
	there, err := os.Stat(out)
	if err != nil {
		return out, nil
	}
	for path := range films {
		if info, err := os.Stat(path); err == nil && os.SameFile(there, info) {
			return "", usageError{err: fmt.Errorf("output %s is a film of the games: a reel never replaces film", out)}
		}
	}
	if !there.Mode().IsRegular() {
		return "", usageError{err: fmt.Errorf("output %s is not a plain file", out)}
	}
	return out, nil
}

// fileName is a title as a file name: letters and digits, words joined by hyphens.
func fileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.Join(words, "-")
	if name == "" {
		return "reel"
	}
	if runes := []rune(name); len(runes) > 60 {
		name = string(runes[:60])
	}
	return name
}
