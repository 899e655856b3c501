package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trenchcut/pipeline/paper"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

type reelOptions struct {
	streams streams
	choose  chooseOptions
	flags   *pflag.FlagSet
	log     logOptions

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
	shape      string
	rate       string
	mute       bool
	planOnly   bool
	force      bool
	keepGoing  bool
	quick      bool
	each       string
	names      string
	quality    string
	encoder    string
	maxSize    string
	maxBytes   int64
	warm       bool
	verify     string
	page       bool
	practice   bool
	pdf        bool
	printer    paper.Printer
	jobs       int
	pictures   map[string]string // the staff's own, by content
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
correction, highlight, meeting, opponent, question, and teach, which is about
one move. "trenchcut reel --plan" shows what a recipe comes to.`,
		Example: `  trenchcut reel inside-counter set=short -t "Inside counters, short sets"
  trenchcut reel outcome=sack,strip-sack --order time-to-beat -o sacks.mp4
  trenchcut reel --plays down=3 --angles sideline --mute
  trenchcut reel -r meeting -g week1,week2
  trenchcut reel -r correction rusher=91 -o marlow.mp4
  trenchcut reel -r opponent blocker=72
  trenchcut reel -r teach move=spin
  trenchcut reel -r highlight,correction --each rusher -o players`,
		RunE: func(cmd *cobra.Command, args []string) error {
			o.choose.terms = args
			return o.logged(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	f := cmd.Flags()
	o.flags = f
	o.log.addFlags(f)
	f.StringVarP(&o.recipeFile, "recipe", "r", "", "recipe `file` (*.reel.yaml), or the name of one of ours; terms hold besides its own, flags overrule it")
	f.StringVarP(&o.title, "title", "t", "", "`words` for the title of the reel")
	f.StringVarP(&o.out, "output", "o", "", "`file` to write the reel to (default: the title, as .mp4)")
	f.BoolVar(&o.plays, "plays", false, "choose plays, whether or not a rep is tagged")
	f.StringSliceVar(&o.order, "order", nil, "`orders` to show it in: film, outcome, time-to-beat, down, stakes, point or why; where equal, by the next")
	f.IntVar(&o.limit, "limit", 0, "`number` of plays to show at most, of each section")
	f.StringSliceVar(&o.angles, "angles", nil, "`angles` to show, in this order")
	f.StringVar(&o.before, "before", "", "`time` to show before the snap, such as 3s")
	f.StringVar(&o.after, "after", "", "`time` to show after the finish")
	f.BoolVar(&o.beyond, "beyond", false, "let before and after reach past in and out")
	f.StringVar(&o.reveal, "reveal", "", "`when` labels tell the outcome: after or before the play")
	f.StringVar(&o.shape, "shape", "", "`outline` of the picture: wide, tall (9:16, two angles in step) or square")
	f.StringVar(&o.size, "size", "", "`size` of the picture, such as 720p or 1280x720")
	f.StringVar(&o.rate, "rate", "", "`frames` a second, such as 29.97")
	f.BoolVar(&o.quick, "quick", false, "make a reel to look at in seconds, without coding film")
	f.StringVar(&o.each, "each", "", "make a folder for each value of a `key`, such as rusher, with a reel by each recipe in it")
	f.StringVar(&o.names, "names", "", "`how` players are named: full, number or none")
	f.StringVar(&o.quality, "quality", "", "`name` of the quality: small, standard or fine")
	f.StringVar(&o.encoder, "encoder", "", "`name` of the encoder: libx264; one of graphics hardware that doctor proved; or auto, the first of those")
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
	f.BoolVar(&o.practice, "practice", false, "write beside the reel one sheet to print: the reps to watch, the points to work on")
	f.BoolVar(&o.pdf, "pdf", false, "print the practice sheet as PDF, too, by a Chromium that is there")
	exclusive(cmd, "pdf", "each") // what is handed out must be such as check --share can read
	exclusive(cmd, "practice", "plan")
	exclusive(cmd, "practice", "warm")
	exclusive(cmd, "practice", "verify")
	f.IntVar(&o.jobs, "jobs", runtime.NumCPU(), "`number` of segments to cut at once")
	o.choose.completeKeys(cmd, "each")
	// They fail only for a flag there is not.
	_ = cmd.RegisterFlagCompletionFunc("recipe", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return recipeNames(), cobra.ShellCompDirectiveDefault
	})
	return cmd
}

func (o *reelOptions) run(ctx context.Context) error {
	if o.pdf {
		if !o.practice {
			return usageError{errors.New("--pdf prints the practice sheet: --practice makes one"), "trenchcut reel"}
		}
		var err error
		if o.printer, err = paper.Find(); err != nil {
			return fmt.Errorf("--pdf: %w", err)
		}
	}
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
	if err := entitle(&recipe, season, asked); err != nil {
		return err
	}
	o.choose.season.shop.pictures = o.pictures
	if err := o.checkAngles(season, recipe.Angles); err != nil {
		return err
	}
	codec, err := o.settleEncoder(ctx)
	if err != nil {
		return err
	}
	return o.withEncoder(ctx, codec, func(codec string) error {
		recipe.Encoder = recipe.Encoder.With(codec)
		return o.runOne(ctx, season, parts, asked, recipe)
	})
}

// runOne cuts one reel, or ahead of time.
func (o *reelOptions) runOne(ctx context.Context, season *tags.Season, parts []plan.Part, asked string, recipe plan.Recipe) error {
	films := o.choose.season.films
	if o.warm {
		return o.cutAhead(ctx, season, parts, recipe)
	}
	build := func() (*plan.Plan, error) { return plan.BuildParts(season, parts, asked, recipe, films) }
	p, err := build()
	if err != nil {
		return err
	}
	if err := o.tell(ctx, p, recipe); err != nil {
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
		case o.keepGoing && errors.As(err, &failed) && left == nil && recipe.Encoder.Codec == plan.X264:
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
			o.log.Warn(size(large.Bytes)+" is too much", "now", "trying it smaller")
		default:
			return errors.Join(append(left, err)...)
		}
		if p, err = build(); err == nil {
			err = o.tell(ctx, p, recipe)
		}
		if err != nil {
			return errors.Join(append(left, err)...)
		}
	}
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
	maker.KeepGoing, maker.MaxBytes, maker.Log = o.keepGoing, o.maxBytes, o.log.Logger
	bars := &bars{streams: o.streams}
	defer bars.done()
	report, err := maker.Make(ctx, p, out, o.force, bars.show)
	bars.done()
	if err != nil {
		return notOurs(err)
	}
	o.printLeftOut(p.LeftOut)
	for _, few := range p.Few {
		fmt.Fprintf(o.streams.Err, "too few: %s\n", few)
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

// printLeftOut says what of the choice is not shown.
func (o *reelOptions) printLeftOut(leftOut []string) {
	for _, left := range leftOut {
		o.log.once(slog.LevelWarn, "left out", "what", left)
	}
}

// notOurs makes a file in the way a wrong call, and says what to do about it.
func notOurs(err error) error {
	if errors.Is(err, render.ErrNotOurs) {
		return usageError{err: fmt.Errorf("%w; --force replaces both", err)}
	}
	return err
}

// chooseParts finds what each section of a recipe asks for. That one finds nothing is no
// error where another does.
func chooseParts(season *tags.Season, recipe plan.Recipe) ([]plan.Part, error) {
	var parts []plan.Part
	var nothing error
	found := false
	for _, section := range recipe.Parts() {
		if section.Slate != "" {
			parts = append(parts, plan.Part{Section: section})
			continue
		}
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
		if n := len(q.Plays(season).Plays); !byPlay && n > 0 {
			return choice, fmt.Errorf("%w: no rep is tagged that meets %s, but %s: --plays chooses plays", plan.ErrNothing, choice.Asked, plural(n, "play"))
		}
		return choice, fmt.Errorf("%w: nothing tagged meets %s", plan.ErrNothing, choice.Asked)
	}
	return choice, nil
}

// entitle holds a recipe that is about one technique to that, and gives one that has no
// title its own. What was asked for may name a player, so that it is no title where none
// may be named.
func entitle(r *plan.Recipe, season *tags.Season, asked string) error {
	word, err := r.Technique(season.Vocabulary)
	switch {
	case err != nil:
		return usageError{err, "trenchcut reel"}
	case r.Title != "":
	case word != nil:
		r.Title = r.TitleOf(word, season.Vocabulary)
	case r.Names != "" && r.Names != plan.FullNames:
		r.Title = "Reel"
	default:
		r.Title = titleOf(asked)
	}
	return nil
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
