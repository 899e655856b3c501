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

// runShare looks through a folder that is about to be handed out. Who is who is in the tag
// files; their film is not looked at.
func (o *checkOptions) runShare(ctx context.Context) error {
	s, err := o.season.loadFaultless(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	tool, err := ffmpeg.Find()
	if err != nil {
		return err
	}
	report, err := share.Check(ctx, s.Season, tool, o.share)
	if err != nil {
		return err
	}
	if err := terminal.Lines(o.Err, report.Lines()...); err != nil {
		return err
	}
	if err := report.Err(); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Out, "%s: %s looked through, nothing tells of another player\n", terminal.OneLine(o.share), tags.Count(report.Files, "file"))
	return err
}
