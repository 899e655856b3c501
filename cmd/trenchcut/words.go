package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// runWords lists what plays write in several ways, and makes it one where that is asked for.
func (o *checkOptions) runWords(ctx context.Context) error {
	s, err := o.season.load(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	if err := s.Faults.Err(); err != nil {
		return err
	}
	found := tags.FindAlike(s.Season.Plays())
	for _, a := range found {
		said := make([]string, len(a.Texts))
		for i, t := range a.Texts {
			said[i] = fmt.Sprintf("%s (%s)", t.Text, tags.Count(t.Plays, "play"))
		}
		line := fmt.Sprintf("%s: %s is also written %s", a.Key, said[0], strings.Join(said[1:], ", "))
		if a.Letter {
			line += "; a letter differs"
		}
		if err := terminal.Paragraph(o.Out, terminal.Width(o.Out), line); err != nil {
			return err
		}
	}
	if len(found) == 0 || !o.write {
		_, err := fmt.Fprintf(o.Err, "%s written in several ways\n", tags.Count(len(found), "text"))
		return err
	}
	staff, err := tags.FindStaffFiles(o.season.request.Games)
	if err != nil {
		return err
	}
	if named := o.season.request.Staff.Vocabulary; named != nil {
		staff.Vocabulary = named
	}
	file, err := staff.VocabularyToWrite(filepath.Dir(s.Season.Games[0].Pos.File))
	if err != nil {
		return usageError{err: err}
	}
	if err := tags.WriteSame(file, found); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s made one\n", file, tags.Count(len(found), "text"))
	return err
}
