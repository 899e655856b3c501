package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/templates"
)

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
		if err := o.lookAtPictures(file, &r); err != nil {
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
	for i := range r.Sections { // which have taken theirs from the recipe
		if s := &r.Sections[i]; s.Slate == "" {
			overrule(o.flags, "limit", &s.Limit, o.limit)
			overrule(o.flags, "plays", &s.Plays, o.plays)
			overrule(o.flags, "order", &s.Order, r.Order)
		}
	}
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
	parse(o.flags, "shape", &r.Shape, o.shape, plan.ParseShape, &wrong)
	if o.quick && r.Shape != "" && r.Shape != plan.Wide {
		wrong = append(wrong, fmt.Errorf("--quick copies film as it is, so that its picture cannot be %s: leave one of them out", r.Shape))
	}
	if o.quick && o.beside() != nil {
		wrong = append(wrong, errors.New("--quick has no slates and no clips cut to the frame, which --page and --practice tell of: leave one of them out"))
	}
	if o.flags.Changed("size") {
		if r.Width, r.Height, err = plan.ParseSize(o.size); err != nil {
			wrong = append(wrong, err)
		}
	}
	if r.Nearest {
		var said []string
		if r.Look, said = draw.Nearest(r.Look); len(said) > 0 {
			fmt.Fprintf(o.streams.Err, "look: not readable as it is, so %s\n", strings.Join(said, ", "))
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
