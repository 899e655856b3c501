package main

import (
	"context"
	"fmt"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/share"
	"trenchcut/tags"
)

// leaksError says that what is to be handed out tells of somebody else.
type leaksError struct {
	folder string
	leaks  int
	unread int
}

func (e leaksError) Error() string {
	said := fmt.Sprintf("%s tells of others in %s: do not hand it out", e.folder, tags.Count(e.leaks, "place"))
	if e.unread > 0 {
		said += fmt.Sprintf("; %s could not be looked through besides", tags.Count(e.unread, "file"))
	}
	return said
}

// runShare looks through a folder that is about to be handed out. Who is who is in the tag
// files; their film is not looked at.
func (o *checkOptions) runShare(ctx context.Context) error {
	s, err := o.season.load(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	if err := s.Faults.Err(); err != nil { // a fault may hide a name
		return err
	}
	tool, err := ffmpeg.Find()
	if err != nil {
		return err
	}
	report, err := share.Check(ctx, s.Season, tool, o.share)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return usageError{err: err}
	case report.Files == 0:
		return usageError{err: fmt.Errorf("%s holds no file: nothing was looked through", o.share)}
	}
	for _, l := range report.Leaks {
		fmt.Fprintln(o.Err, terminal.OneLine(fmt.Sprintf("%s: holds %s", l.File, l.What)))
	}
	files := map[string]bool{}
	for _, u := range report.Unread {
		fmt.Fprintln(o.Err, terminal.OneLine(fmt.Sprintf("not looked through: %s: %s", u.File, u.Why)))
		files[u.File] = true
	}
	switch {
	case len(report.Leaks) > 0:
		return leaksError{o.share, len(report.Leaks), len(files)}
	case len(files) > 0:
		return fmt.Errorf("%s: nothing tells of another player in what was read, but %s could not be looked through: look at what is named before it is handed out",
			o.share, tags.Count(len(files), "file"))
	}
	_, err = fmt.Fprintf(o.Out, "%s: %s looked through, nothing tells of another player\n", terminal.OneLine(o.share), tags.Count(report.Files, "file"))
	return err
}
