package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// oneOf is one reel of many: whose it is, by what recipe, and what it came to.
type oneOf struct {
	value  string
	recipe string
	plan   *plan.Plan // nil where there is nothing to show
	out    string
	reps   int
	report render.Report
}

// runEach makes a folder for each value of a key, with a reel by each recipe in it. What
// reels share is cut once. Folders are for handing out: their manifests name nothing.
func (o *reelOptions) runEach(ctx context.Context) error {
	folder := o.out
	if folder == "" || o.recipeFile == "" || o.planOnly || o.warm || o.page || o.title != "" {
		return usageError{errors.New("--each wants --recipe and a folder after --output, and goes without --plan, --warm, --page and --title"), "trenchcut reel"}
	}
	recipes := map[string]plan.Recipe{}
	var names []string
	terms := o.choose.terms
	for name := range strings.SplitSeq(o.recipeFile, ",") {
		o.recipeFile, o.choose.terms = name, terms
		r, err := o.recipe()
		if err != nil {
			return err
		}
		if r.Title == "" {
			return usageError{err: fmt.Errorf("recipe %s has no title, which names the reel", name)}
		}
		recipes[name] = r
		names = append(names, name)
	}
	o.choose.terms = terms
	season, q, err := o.choose.load(ctx, true)
	if err != nil {
		return err
	}
	facts, err := namedFacts(q.Registry(), "reel", "each", []string{o.each})
	if err != nil {
		return err
	}
	var reels []*oneOf
	for _, value := range valuesOfEach(facts[0], q.Reps(season).Reps) {
		for _, name := range names {
			reel, err := o.planOne(season, recipes[name], value)
			if err != nil {
				return err
			}
			reel.value, reel.recipe = value, name
			reel.out = filepath.Join(folder, fileName(value), fileName(recipes[name].Title)+".mp4")
			reels = append(reels, reel)
		}
	}
	if err := o.makeEach(ctx, reels); err != nil {
		return err
	}
	return o.printEach(reels)
}

// valuesOfEach is the values that a key has among reps, as terms take them, in order.
func valuesOfEach(f query.Fact, reps []*tags.Rep) []string {
	found := map[string]bool{}
	for _, r := range reps {
		value, ok := f.OfRep(r)
		if !ok {
			continue
		}
		if list, ok := value.([]string); ok && f.Kind == query.Person {
			found[list[0]] = true // his id; the others are what he goes by
			continue
		}
		for _, v := range values(f, r) {
			found[v] = true
		}
	}
	return slices.Sorted(maps.Keys(found))
}

// planOne plans the reel of a recipe for one value.
func (o *reelOptions) planOne(season *tags.Season, recipe plan.Recipe, value string) (*oneOf, error) {
	if err := o.checkAngles(season, recipe.Angles); err != nil {
		return nil, err
	}
	recipe.Choose = append(slices.Clone(recipe.Choose), o.each+"="+value)
	parts, err := chooseParts(season, recipe)
	if errors.Is(err, plan.ErrNothing) {
		return &oneOf{}, nil
	}
	if err != nil {
		return nil, err
	}
	reps := map[*tags.Rep]bool{}
	for _, part := range parts {
		for _, r := range part.Reps {
			reps[r] = true
		}
	}
	p, err := plan.BuildParts(season, parts, "", recipe, o.choose.season.films)
	if errors.Is(err, plan.ErrNothing) {
		return &oneOf{}, nil
	}
	return &oneOf{plan: p, reps: len(reps)}, err
}

// makeEach cuts what all reels need, under one bar, and joins each.
func (o *reelOptions) makeEach(ctx context.Context, reels []*oneOf) error {
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	maker.Shared = true
	var segments []plan.Segment
	for _, reel := range reels {
		if reel.plan == nil {
			continue
		}
		for _, e := range reel.plan.Entries {
			segments = append(segments, e.Segment)
		}
	}
	if len(segments) == 0 {
		return fmt.Errorf("%w: nothing tagged meets any of the recipes", plan.ErrNothing)
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	if _, _, err := maker.Warm(ctx, segments, bars.show); err != nil {
		return err
	}
	bars.done()
	for _, reel := range reels {
		if reel.plan == nil {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(reel.out), 0o777); err != nil {
			return err
		}
		if reel.report, err = maker.Make(ctx, reel.plan, reel.out, o.force, func(render.Event) {}); err != nil {
			return notOurs(err)
		}
	}
	return nil
}

// printEach prints a line a reel.
func (o *reelOptions) printEach(reels []*oneOf) error {
	w := tabwriter.NewWriter(o.streams.Out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "%s\trecipe\treps\tclips\tlength\treel\n", o.each)
	for _, r := range reels {
		if r.plan == nil {
			fmt.Fprintf(w, "%s\t%s\t0\t\t\tnothing to show\n", r.value, r.recipe)
			continue
		}
		note := r.out
		if r.report.Unchanged {
			note += " (unchanged)"
		}
		length := r.plan.House.Rate.Duration(r.report.Frames)
		fmt.Fprintf(w, "%s\t%s\t%d\t%d\t%s\t%s\n", r.value, r.recipe, r.reps, r.plan.Clips(), length, note)
	}
	return w.Flush()
}
