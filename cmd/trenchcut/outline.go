package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/outline"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/tags/report"
)

type outlineOptions struct {
	streams
	season   seasonOptions // for the staff's vocabulary
	out      string
	sheet    string
	columns  string
	contact  string
	floor    string
	pins     []string
	leaveOut []string
	move     string
	write    bool
	dryRun   bool
	force    bool
}

func newOutlineCommand(s streams) *cobra.Command {
	o := &outlineOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "outline [ANGLE=]FILM… -o GAME.game.yaml",
		Short: "Find the plays in untagged film and write them as a tag file",
		Long: `Outline looks through film that nobody has tagged, finds where each play begins
and ends, guesses the snap from what moves, and writes a tag file of plays. With
--sheet it lays a play sheet over the shots in order, leaves out scoreboards and
crowds, and says where it is not sure. Cells that cannot be read are listed, as
import lists them; the rest is done, and the exit code is 3.

FILM is a file with the plays one after another, or a folder with a file for
each play and angle. ANGLE is a name of yours, such as endzone; without it the
name of the file or folder must tell. Film that shows each play from two angles
by turns is sideline,endzone=FILM. A film in several files is named several
times, or as ONE+NEXT where a camera or a disc cut it in the middle. Clips are
paired by the number in their names where all have one, else by their order.

A contact sheet, a picture of every shot with its number, is written beside the
tag file. Where it shows a play under the wrong number, --pin and --leave-out
say so to the next run. Guessed snaps are marked: find --plays guess=snap lists
them, and whoever confirms one takes the mark out.

Where the tag file is there, with plays but no film, the film is added to it.
One that outline wrote and nobody has changed is replaced. Of any other, with
tags in it, outline shows what would change, facts and film by play; --write
does it. Reps and marks go with the film they were tagged on, what the sheet
says stays with the numbers, and what somebody typed stays. Film that was looked
through before is not read again.

--move 15=+1 gives the film of play 15 and of those after it, with its reps, to
the next play each, up to a play without film; -1 to the one before. It takes no
film, and shows what would change; --write does it.`,
		Example: `  trenchcut outline endzone=ez.mp4 sideline=sl.mp4 -o wk3-mesa.game.yaml
  trenchcut outline sideline,endzone=game.mp4 --sheet plays.csv -o wk3.game.yaml
  trenchcut outline endzone=clips/ez sideline=clips/sl -o wk3.game.yaml
  trenchcut outline ez.mp4 --sheet plays.csv --pin 23=31,24=none -o w3.game.yaml
  trenchcut outline ez.mp4 --sheet new.csv --pin 15=16 -o w3.game.yaml --write
  trenchcut outline --move 15=+1 -o w3.game.yaml --write`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 && o.move == "" {
				return wrongCall("%s takes the film to look through", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.move != "" {
				return o.runMove(args)
			}
			return o.run(cmd.Context(), args)
		},
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "output", "o", "", "tag `file` to write")
	f.StringVar(&o.sheet, "sheet", "", "play sheet `file`, CSV or XLSX, whose plays the shots are")
	f.StringVar(&o.columns, "columns", "", "column mapping `file` for the sheet, as of import")
	f.StringVar(&o.contact, "contact", "", "contact sheet `file` (default: the tag file's name, as .outline.png)")
	f.StringVar(&o.floor, "floor", outline.UsualFloor, "a shot shorter than this `time` is no play")
	f.StringSliceVar(&o.pins, "pin", nil, "what `play=shot` goes together, such as 23=31; 23=none is not on film")
	f.StringSliceVar(&o.leaveOut, "leave-out", nil, "`shots` that show no play, by number")
	f.StringVar(&o.move, "move", "", "`play=+1` or =-1: the film from this play on is the next play's, or the one's before")
	f.BoolVar(&o.write, "write", false, "write what would change in a tag file that has tags in it")
	f.BoolVar(&o.dryRun, "dry-run", false, "list what was found and write nothing")
	f.BoolVar(&o.force, "force", false, "replace a contact sheet that outline did not write")
	f.StringSliceVar(&o.season.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml beside the tag file)")
	return cmd
}

func (o *outlineOptions) run(ctx context.Context, args []string) error {
	if o.contact == "" {
		o.contact = outline.ContactFile(o.out)
	}
	req, err := o.request(args)
	if err != nil {
		return usageError{err}
	}
	if req.Vocabulary, err = o.season.vocabularyBeside(o.out); err != nil {
		return err
	}
	machine, err := session.OpenMachine()
	if err != nil {
		return err
	}
	if err := machine.Ready(ctx); err != nil {
		return err
	}
	bars := o.streams.bars()
	progress := func(stage outline.Stage, done, total tags.Frame) {
		bars.Show(string(stage), int64(done), int64(total))
	}
	found, err := outline.Find(ctx, machine.Library, req, progress)
	bars.Done()
	var faults tags.Faults
	if errors.As(err, &faults) {
		return o.refused(faults)
	}
	if err != nil {
		return err
	}
	if found.Sheet != nil {
		if err := terminal.Understood(o.Out, found.Sheet.Understood); err != nil {
			return err
		}
	}
	if err := terminal.Blocks(o.Out, []report.Block{found.Block()}); err != nil {
		return err
	}
	if err := terminal.Lines(o.Out, slices.Concat(found.LeftOut(), found.ChangeLines())...); err != nil {
		return err
	}
	if o.dryRun || found.Again && !o.write {
		return o.finish(found)
	}
	picture, err := found.ContactSheet(ctx, machine.Library, progress)
	bars.Done()
	if err != nil {
		return err
	}
	if picture, err = page.MarkPNG(picture); err != nil {
		return err
	}
	if err := found.Write(o.contact, picture, o.contactPolicy()); err != nil {
		return err
	}
	return o.finish(found)
}

// finish says how it went. What cannot be read of the sheet is a fault of its own, though all
// else is done.
func (o *outlineOptions) finish(found *outline.Proposal) error {
	var faults tags.Faults
	if found.Sheet != nil {
		faults = found.Sheet.Faults
	}
	if len(faults) > 0 {
		terminal.Faults(o.Err, faults, o.sheet)
	}
	if err := o.summary(found); err != nil || faults.Err() == nil {
		return err
	}
	return reportedError{faults}
}

// contactPolicy allows to replace a contact sheet that outline wrote.
func (o *outlineOptions) contactPolicy() files.Policy {
	return files.Policy{Force: o.force, Ours: page.IsFile}
}

// request is what the flags and the names of the film ask for. The error is everything that is
// wrong.
func (o *outlineOptions) request(film []string) (outline.Request, error) {
	req, err := outline.ParseRequest(film, o.floor, o.pins, o.leaveOut)
	req.File, req.Sheet, req.Columns, req.Again = o.out, o.sheet, o.columns, true
	errs := []error{err}
	if o.columns != "" && o.sheet == "" {
		errs = append(errs, errors.New("--columns goes with --sheet"))
	}
	if !strings.EqualFold(filepath.Ext(o.contact), ".png") {
		errs = append(errs, fmt.Errorf("--contact %s: a contact sheet is .png", o.contact))
	}
	if !o.dryRun {
		errs = append(errs, o.contactPolicy().Check(o.contact))
	}
	if o.out == "" {
		errs = append(errs, errors.New("-o says which tag file to write"))
	} else {
		errs = append(errs, req.Check())
	}
	return req, errors.Join(errs...)
}

// refused prints faults without the lines they are in: sheets and films have none to show.
func (o *outlineOptions) refused(faults tags.Faults) error {
	if err := terminal.FaultsAlone(o.Err, faults, ""); err != nil {
		return err
	}
	return reportedError{faults}
}

// summary says how it went, and where to look.
func (o *outlineOptions) summary(found *outline.Proposal) error {
	dry, written := "", !o.dryRun
	switch {
	case o.dryRun:
		dry = " (dry run: nothing written)"
	case found.Again && !o.write:
		dry, written = " (nothing written: add --write)", false
	}
	lines := []string{o.out + ": " + found.Counted() + dry}
	lines = append(lines, found.Doubts()...)
	if written {
		lines = append(lines, fmt.Sprintf("look at %s: where a play is under the wrong number, say --pin PLAY=SHOT or --leave-out SHOT", o.contact))
	}
	return terminal.Lines(o.Err, lines...)
}
