// Package reel is the whole way of a reel: a recipe is read, reps are chosen, the reel is
// planned, made, and given what lies beside it. Commands, pages and workers call it.
package reel

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/pipeline/content"
	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/templates"
)

// Request is a reel as it is asked for.
type Request struct {
	// Recipe is a recipe file, or the name of one that comes with the program; empty is
	// the default recipe.
	Recipe string
	// Settings overrule the recipe, in order.
	Settings []plan.Setting
	Terms    []string // hold besides the recipe's own
	Where    string   // a CEL expression that holds besides the recipe's own
}

// Recipe is a recipe with what its files hold.
type Recipe struct {
	plan.Recipe
	Name     string            // as it was asked for
	Adjusted []string          // colours that could not be read, and what they are taken as
	Terms    []string          // that were asked for besides the recipe's own
	titled   bool              // the title was asked for, and stays as it is
	where    bool              // a condition was asked for
	pictures map[string]string // where the staff's own pictures lie, by content
}

// ReadRecipe reads the recipe of a request over the default one, with the request's
// settings and terms over both. Faults in a recipe file are [tags.Faults]; a request that
// is wrong is a [tags.RequestError].
func ReadRecipe(q Request) (Recipe, error) {
	r := Recipe{Name: q.Recipe}
	var err error
	if r.Recipe, err = plan.DefaultRecipe(); err != nil {
		return r, err
	}
	if q.Recipe != "" {
		file, data, err := readRecipe(q.Recipe)
		if err != nil {
			return r, tags.WrongRequest(fmt.Errorf("read the recipe: %w", err))
		}
		if r.Recipe, err = plan.ParseRecipe(file, data, r.Recipe); err != nil {
			return r, err
		}
		if err := r.readPictures(filepath.Dir(file)); err != nil {
			return r, err
		}
	}
	settings := q.Settings
	if q.Where != "" {
		settings = append([]plan.Setting{{Key: "where", Value: q.Where}}, settings...)
	}
	r.titled = slices.ContainsFunc(settings, func(s plan.Setting) bool { return s.Key == "title" })
	r.where = slices.ContainsFunc(settings, func(s plan.Setting) bool { return s.Key == "where" })
	if r.Recipe, err = r.With(settings...); err != nil {
		return r, err
	}
	r.Choose, r.Terms = append(r.Choose, q.Terms...), q.Terms
	if r.Nearest {
		r.Look, r.Adjusted = draw.Nearest(r.Look)
	}
	return r, tags.WrongRequest(draw.CheckLook(r.Look))
}

// recipeSuffix ends the names of recipe files.
const recipeSuffix = ".reel.yaml"

// readRecipe reads a recipe file, or one that comes with the program by its name.
func readRecipe(name string) (file string, data []byte, err error) {
	data, err = os.ReadFile(name)
	if err == nil || !errors.Is(err, fs.ErrNotExist) || strings.ContainsAny(name, `/\.`) {
		return name, data, err
	}
	if ours, errOurs := templates.FS.ReadFile(name + recipeSuffix); errOurs == nil {
		return "templates/" + name + recipeSuffix, ours, nil
	}
	return name, nil, fmt.Errorf("%w; %s", err, tags.DidYouMean(name, RecipeNames()))
}

// RecipeNames is the recipes that come with the program.
func RecipeNames() []string {
	found, _ := fs.Glob(templates.FS, "*"+recipeSuffix) // it fails only for a bad pattern
	var names []string
	for _, f := range found {
		names = append(names, strings.TrimSuffix(f, recipeSuffix))
	}
	return names
}

// readPictures reads the staff's own pictures, whose files are named from folder, and notes
// in the recipe what they are. What is wrong with one is a fault where it is named.
func (r *Recipe) readPictures(folder string) error {
	r.pictures = map[string]string{}
	var faults tags.Faults
	for _, list := range [][]plan.Picture{r.Intro, r.Outro} {
		for i := range list {
			p := &list[i]
			path := filepath.Join(folder, filepath.FromSlash(p.File))
			data, err := files.Read(path, draw.MostPicture)
			if err == nil {
				p.Width, p.Height, err = draw.MeasurePicture(data)
			}
			var inPath *fs.PathError
			if errors.As(err, &inPath) { // the fault names the file already
				err = inPath.Err
			}
			if err != nil {
				faults.Add(p.Pos, "picture %s: %v", p.File, err)
				continue
			}
			p.Content = content.HashOf(data)
			r.pictures[p.Content] = path
		}
	}
	return faults.Err()
}
