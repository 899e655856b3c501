package main

import (
	"context"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// seasonOptions says which games a command reads.
type seasonOptions struct {
	staff tags.StaffFiles // the staff's own, where not those beside the games
	games []string
	// all looks at the film of second opinions as well; else only where their tags need it.
	all bool

	// Once film was looked at: what it was looked at with, and what is known of each file.
	shop  *workshop
	films map[string]plan.Source
}

func (o *seasonOptions) addFlags(cmd *cobra.Command) {
	cmd.Flags().StringSliceVarP(&o.games, "games", "g", nil,
		"tag `files` or folders to read (default: every *.game.yaml below here)")
	cmd.Flags().StringSliceVar(&o.staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml with the games)")
	cmd.Flags().StringSliceVar(&o.staff.Reads, "reads", nil,
		"the staff's own reads, as `files` (default: every *.reads.yaml with the games)")
}

// read reads the games and, with film, looks at the film they name; without, only at
// film whose rate the tags depend on. The faults are all of all files, warnings included.
func (o *seasonOptions) read(ctx context.Context, withFilm bool) (*tags.Season, tags.Faults, error) {
	files, err := tags.FindGames(o.games)
	if err != nil {
		return nil, nil, usageError{err: err}
	}
	staff, err := o.staffFiles()
	if err != nil {
		return nil, nil, usageError{err: err}
	}
	vocabulary, inStaff, err := tags.LoadVocabulary(staff)
	if err != nil {
		return nil, nil, err
	}
	season, faults, err := tagCache().Load(files, vocabulary)
	if err != nil {
		return nil, nil, err
	}
	// What the templates say by themselves is tested, not checked in every run.
	if len(staff.Vocabulary)+len(staff.Reads) > 0 {
		inTerms, err := query.Check(vocabulary, season)
		if err != nil {
			return nil, nil, err
		}
		faults = append(append(faults, inStaff...), inTerms...)
	}
	var onFilm []*tags.Game
	for _, g := range season.Games {
		if withFilm || g.NeedsRate() {
			onFilm = append(onFilm, g)
		}
	}
	for _, g := range season.Second {
		if o.all || g.NeedsRate() {
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

// staffFiles is the vocabulary and reads files that were named, or those found with the
// games.
func (o *seasonOptions) staffFiles() (tags.StaffFiles, error) {
	found, err := tags.FindStaffFiles(o.games)
	if o.staff.Vocabulary != nil {
		found.Vocabulary = o.staff.Vocabulary
	}
	if o.staff.Reads != nil {
		found.Reads = o.staff.Reads
	}
	return found, err
}

// survey looks at the film of games and holds their tags to it.
func (o *seasonOptions) survey(ctx context.Context, games []*tags.Game) (tags.Faults, error) {
	var err error
	if o.shop, err = openWorkshop(); err != nil {
		return nil, err
	}
	films, faults, err := o.shop.library.Survey(ctx, games)
	if err != nil {
		return nil, err
	}
	o.films = films
	extents := plan.Extents(films)
	for _, g := range games {
		faults = append(faults, g.CheckFilm(extents)...)
	}
	return faults, nil
}
