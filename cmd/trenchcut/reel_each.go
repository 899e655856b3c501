package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

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
	few    []plan.Few
	out    string
	report render.Report
}

// runEach makes a folder for each value of a key, with a reel by each recipe in it. What
// reels share is cut once. Folders are for handing out: their manifests name nothing.
func (o *reelOptions) runEach(ctx context.Context) error {
	folder := o.out
	if folder == "" || o.recipeFile == "" || o.keepGoing || o.maxSize != "" || o.title != "" {
		return usageError{errors.New("--each wants --recipe and a folder after --output, and goes without --keep-going, --max-size and --title"), "trenchcut reel"}
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
		if r.Title == "" && r.About == "" {
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
	codec, err := o.settleEncoder(ctx)
	if err != nil {
		return err
	}
	return o.withEncoder(ctx, codec, func(codec string) error {
		for name, r := range recipes {
			r.Encoder = r.Encoder.With(codec)
			recipes[name] = r
		}
		return o.eachOf(ctx, season, facts[0], q.Reps(season).Reps, folder, recipes, names)
	})
}

// eachOf makes the reels of each value that a fact has among reps, by each of the recipes.
func (o *reelOptions) eachOf(ctx context.Context, season *tags.Season, fact query.Fact, reps []*tags.Rep, folder string, recipes map[string]plan.Recipe, names []string) error {
	var reels []*oneOf
	whose := map[string]*oneOf{} // by what it is written to
	for _, value := range valuesOfEach(fact, reps) {
		for _, name := range names {
			reel, err := o.planOne(season, recipes[name], value)
			if err != nil {
				return err
			}
			reel.value, reel.recipe = value, name
			if reel.plan != nil {
				of := fileName(value)
				if fact.Kind == query.Person {
					of = folderOf(season, value, recipes[name].Names)
				}
				reel.out = filepath.Join(folder, of, fileName(reel.plan.Title)+".mp4")
				if other := whose[reel.out]; other != nil {
					return usageError{err: fmt.Errorf("%s would be two reels, %s by %s and %s by %s: give the recipes other titles, or ask for one of the two",
						reel.out, other.value, other.recipe, value, name)}
				}
				whose[reel.out] = reel
				if err := o.mayWriteBeside(reel.out); err != nil {
					return err
				}
			}
			reels = append(reels, reel)
		}
	}
	if err := o.makeEach(ctx, season, reels); err != nil {
		return err
	}
	return o.printEach(reels, folder)
}

// folderOf is the name of a person's folder, which tells no more of who he is than names
// do: his id, or the number that he alone wears, or a mark. The mark is made of his id, so
// that it stays his whoever joins or leaves.
func folderOf(season *tags.Season, id string, names plan.Names) string {
	if names == "" || names == plan.FullNames {
		return id // as it is: what fileName makes of two may be one name
	}
	sum := sha256.Sum256([]byte(id))
	mark := "player-" + hex.EncodeToString(sum[:3])
	if names == plan.NoNames {
		return mark
	}
	wears, his := "", false
	for _, g := range season.Games {
		if p := g.People[id]; p != nil && p.Jersey != "" {
			wears, his = p.Jersey, isOurs(g, p) // the last game's
		}
	}
	if wears == "" {
		return mark
	}
	for _, g := range season.Games {
		for other, p := range g.People {
			if other != id && p.Jersey == wears && isOurs(g, p) == his {
				return fileName(wears) + "-" + mark
			}
		}
	}
	return fileName(wears)
}

// isOurs reports whether p is one of our own.
func isOurs(g *tags.Game, p *tags.Person) bool {
	return p.Team == "" || p.Team == "us" || p.Team == g.Us
}

// fromFolder is a path as seen from a folder that it lies in.
func fromFolder(folder, path string) string {
	if rel, err := filepath.Rel(folder, path); err == nil {
		return rel
	}
	return path
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
	if err := entitle(&recipe, season, ""); err != nil {
		return nil, err
	}
	parts, err := chooseParts(season, recipe)
	if errors.Is(err, plan.ErrNothing) {
		return &oneOf{few: recipe.None()}, nil
	}
	if err != nil {
		return nil, err
	}
	p, err := plan.BuildParts(season, parts, "", recipe, o.choose.season.films)
	if errors.Is(err, plan.ErrNothing) {
		return &oneOf{few: recipe.None()}, nil
	}
	if err != nil {
		return nil, err
	}
	return &oneOf{plan: p, few: p.Few}, nil
}

// makeEach cuts what all reels need, under one bar, joins each, and writes what goes beside it.
func (o *reelOptions) makeEach(ctx context.Context, season *tags.Season, reels []*oneOf) error {
	o.choose.season.shop.pictures = o.pictures
	maker, err := o.choose.season.shop.maker(ctx, o.jobs)
	if err != nil {
		return err
	}
	maker.Shared, maker.Log = true, o.log.Logger
	var entries []plan.Entry
	for _, reel := range reels {
		if reel.plan != nil {
			entries = append(entries, reel.plan.Entries...)
		}
	}
	if len(entries) == 0 {
		return fmt.Errorf("%w: nothing tagged meets any of the recipes", plan.ErrNothing)
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	if _, _, err := maker.Warm(ctx, entries, bars.show); err != nil {
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
		if err := o.writeBeside(ctx, season, reel.plan, reel.out); err != nil {
			return err
		}
		o.printLeftOut(reel.plan.LeftOut)
	}
	return nil
}

// printEach prints a line a reel in the folder, and then who has too few reps.
func (o *reelOptions) printEach(reels []*oneOf, folder string) error {
	var rows [][]string
	made, short := 0, map[string]bool{}
	all := map[string]bool{}
	for _, r := range reels {
		all[r.value] = true
		var few []string
		for _, f := range r.few {
			few = append(few, fmt.Sprintf("%s %d/%d", f.Section, f.Plays, f.Least))
			short[r.value] = true
		}
		row := []string{r.value, r.recipe, "0", "", strings.Join(few, ", "), "nothing to show"}
		if r.plan != nil {
			made++
			row[2], row[3], row[5] = fmt.Sprint(r.plan.Clips()), r.plan.House.Rate.Duration(r.report.Frames).String(), filepath.ToSlash(fromFolder(folder, r.out))
			if r.report.Unchanged {
				row[5] += " (unchanged)"
			}
		}
		rows = append(rows, row)
	}
	width := outWidth(o.streams.Out)
	columns := []column{
		{title: o.each},
		{title: "recipe"},
		{title: "clips", right: true},
		{title: "length"},
		{title: "too few", least: 14, fold: true},
		{title: "reel"}, // as a whole, so that it can be copied
	}
	if err := printTable(o.streams.Out, width, columns, rows); err != nil {
		return err
	}
	said := fmt.Sprintf("%s: %s by %s", folder, plural(made, "reel"), o.each)
	if len(short) > 0 {
		said += fmt.Sprintf("; %d of %d with too few reps: %s", len(short), len(all), strings.Join(slices.Sorted(maps.Keys(short)), ", "))
	}
	return printWrapped(o.streams.Out, width, said)
}
