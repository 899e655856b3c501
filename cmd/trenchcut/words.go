package main

import (
	"context"
	"fmt"
	"path/filepath"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// runWords lists what plays write in several ways, and makes it one where that is asked for.
func (o *checkOptions) runWords(ctx context.Context) error {
	s, err := o.season.loadFaultless(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	found := tags.FindAlike(s.Season.Plays())
	for _, a := range found {
		if err := terminal.Paragraphs(o.Out, a.String()); err != nil {
			return err
		}
	}
	if len(found) == 0 || !o.write {
		_, err := fmt.Fprintf(o.Err, "%s written in several ways\n", tags.Count(len(found), "text"))
		return err
	}
	staff, err := o.season.request.StaffFiles()
	if err != nil {
		return err
	}
	file, err := staff.VocabularyToWrite(filepath.Dir(s.Season.Games[0].Pos.File))
	if err != nil {
		return tags.WrongRequest(err)
	}
	if err := tags.WriteSame(file, found); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s made one\n", file, tags.Count(len(found), "text"))
	return err
}
