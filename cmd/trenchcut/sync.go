package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/sync"
	"trenchcut/tags"
	"trenchcut/tags/report"
)

type syncOptions struct {
	streams
	season seasonOptions
	marks  []string
	nudges []string
	again  bool
	dryRun bool
}

func newSyncCommand(s streams) *cobra.Command {
	o := &syncOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "sync",
		Short: "Put the angles of a game in step, by marks or by sound",
		Long: `Sync finds how the time of each angle runs against the first one's, and writes
it into the tag file.

Of cameras that run on, one file an angle and no times of its own on any play,
it finds the offset, and how far their clocks drift apart: from two instants
marked in both, or else from what both heard. Of film cut by plays it finds the
snap on each angle that has none marked, by sound from an angle that has one.
Where no angle has its snap marked, or sound is not sure, sync guesses the snap
from what moves, to a quarter of a second. The play says so among its extras:
"guess: snap", or "guess: sideline snap" of one angle alone. Whoever looks at a
guess takes that out; a guess that sound replaces loses it. To sync itself, a
guess is as good as no snap. find --plays --where 'guess.contains("snap")' lists
all guesses.

What is not clear, or does not agree from one part of the film to another, is
refused, and the exit code is 1. Instants marked in both win over sound; name
them with --mark, two of them minutes apart, or as snaps of plays that have
times on both angles.

Sound needs 2.9 ms for a metre, so a camera that stands 50 m farther from the
ball hears it four frames late and is set as much too late; --nudge moves it.`,
		Example: `  trenchcut sync -g wk1.game.yaml --dry-run
  trenchcut sync -g wk1.game.yaml
  trenchcut sync -g wk1.game.yaml --nudge sideline=-4
  trenchcut sync -g wk1.game.yaml --mark endzone=8:05.0,sideline=12:34.1 \
    --mark endzone=1:31:20.3,sideline=1:35:49.6`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	o.season.addFlags(cmd)
	f := cmd.Flags()
	f.StringArrayVar(&o.marks, "mark", nil, "one instant on several angles, as `angle=time,angle=time`; may be given again")
	f.StringSliceVar(&o.nudges, "nudge", nil, "move an angle by `angle=frames`, - for earlier in its film; an offset that is written too")
	f.BoolVar(&o.again, "again", false, "find offsets that are written anew")
	f.BoolVar(&o.dryRun, "dry-run", false, "show what would be written and write nothing")
	return cmd
}

func (o *syncOptions) run(ctx context.Context) error {
	loaded, err := o.season.loadFaultless(ctx, session.FilmOfGames)
	if err != nil {
		return err
	}
	machine, err := loaded.Machine()
	if err != nil {
		return err
	}
	if err := machine.Ready(ctx); err != nil {
		return err
	}
	season, films := loaded.Season, loaded.Films
	req, err := sync.ParseRequest(o.marks, o.nudges)
	req.Again = o.again
	if err := errors.Join(err, req.Check(season, films)); err != nil {
		return usageError{err}
	}
	bars := o.streams.bars()
	proposals, err := sync.Find(ctx, machine.Library, season, films, req, func(done, total tags.Frame) {
		bars.Show("listening", int64(done), int64(total))
	})
	bars.Done()
	if err != nil {
		return err
	}
	var errs []error
	for _, p := range proposals {
		if err := terminal.Blocks(o.Out, []report.Block{p.Block()}); err != nil {
			return err
		}
		if err := o.write(p, season.Vocabulary); err != nil {
			errs = append(errs, err)
		}
	}
	if sync.BySound(proposals) {
		if err := terminal.Paragraphs(o.Err, sync.SoundTakesTime); err != nil {
			return err
		}
	}
	for _, angle := range req.Unused(proposals) {
		errs = append(errs, fmt.Errorf("--nudge: nothing of the angle %s was moved: its snaps are marked, or guesses by what moves", angle))
	}
	return errors.Join(append(errs, sync.Failures(proposals)...)...)
}

// write puts what was found of one game into its tag file, and says so.
func (o *syncOptions) write(p *sync.Proposal, v *tags.Vocabulary) error {
	edit, err := p.Edit(v)
	if err != nil || len(edit.Changes) == 0 {
		return err
	}
	values := tags.Count(len(edit.Changes), "value")
	if o.dryRun {
		for _, c := range edit.Changes {
			fmt.Fprintf(o.Out, "%s: %s\n", edit.File, tags.Printable(c.String()))
		}
		_, err = fmt.Fprintf(o.Err, "%s: %s to write (dry run: nothing written)\n", edit.File, values)
		return err
	}
	if err := edit.Write(); err != nil {
		return err
	}
	for _, m := range edit.Missed {
		fmt.Fprintf(o.Err, "%s: the %s misses %s or part of them: trenchcut check names them\n", edit.File, m.Angle, tags.Count(m.Plays, "play"))
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s written\n", edit.File, values)
	return err
}
