package main

import (
	"context"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
)

// seasonOptions says which games a command reads.
type seasonOptions struct {
	games   []string
	library *film.Library // of their film, once some of it was looked at
}

func (o *seasonOptions) addFlags(cmd *cobra.Command) {
	cmd.Flags().StringSliceVarP(&o.games, "games", "g", nil,
		"tag `files` or folders to read (default: every *.game.yaml below here)")
}

// read reads the games and, with film, looks at the film they name; without, only at
// film whose rate the tags depend on. The faults are all of all files, warnings included.
func (o *seasonOptions) read(ctx context.Context, withFilm bool) (*tags.Season, tags.Faults, error) {
	files, err := tags.FindGames(o.games)
	if err != nil {
		return nil, nil, usageError{err: err}
	}
	vocabulary, err := tags.DefaultVocabulary()
	if err != nil {
		return nil, nil, err
	}
	season, faults, err := tags.Load(files, vocabulary)
	if err != nil {
		return nil, nil, err
	}
	var onFilm []*tags.Game
	for _, g := range season.Games {
		if withFilm || g.NeedsRate() {
			onFilm = append(onFilm, g)
		}
	}
	if len(onFilm) > 0 {
		surveyed, err := o.survey(ctx, onFilm)
		if err != nil {
			return nil, nil, err
		}
		faults = append(faults, surveyed...)
	}
	faults.Sort()
	return season, faults, ctx.Err()
}

// survey looks at the film of games and holds their tags to it.
func (o *seasonOptions) survey(ctx context.Context, games []*tags.Game) (tags.Faults, error) {
	var err error
	if o.library, err = openLibrary(); err != nil {
		return nil, err
	}
	extents, faults, err := o.library.Survey(ctx, games)
	if err != nil {
		return nil, err
	}
	for _, g := range games {
		faults = append(faults, g.CheckFilm(extents)...)
	}
	return faults, nil
}
