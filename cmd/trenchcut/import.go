package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/files"
)

type importOptions struct {
	streams
	season  seasonOptions // for the staff's vocabulary
	request exchange.Import
	columns string // where to write the column mapping that was found
	dryRun  bool
	folder  folderOptions
}

func newImportCommand(s streams) *cobra.Command {
	o := &importOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "import SHEET.csv|.xlsx|FOLDER",
		Short: "Bring a sheet into a tag file, or another staff's folder in whole",
		Long: `Import reads a play sheet, CSV or XLSX with one row a play (or one a play and
angle), and merges it into a tag file by play number. It fills what is absent
and adds plays that are missing. It keeps what the tag file says already, and
lists where the sheet differs. Where there is no tag file, it makes one.

It first says what it understood, a line a column. Headings such as Play, Qtr,
Dn, Dist or Yard Line are known; others are guessed by what their cells hold, or
become extra keys of the play. --write-columns keeps that in a file, for the
staff to correct once and for --columns to hold from then on:

  trenchcut: 1
  columns: {"PLAY #": play, "BOX": front, "EZ start": endzone in, COACH: skip}
  values: {type: {Pass: dropback}, down: {"0": ""}}

"Pass" does not say which type of play it was, so values must; "" leaves a cell
out. A tag file that names nobody takes its people from the sheet, by jersey or
name, and a new one its opponent from a column Opponent that says the same in
every row.

A row may also be a rep, with its rusher in a column: what "export --reps"
writes, or a staff's own sheet. A row a play may have columns for several
rushers: "91 move", "91 result", or "91" with the rep on one line. Reps merge by
play and rusher. A rep that is still as it was exported takes what was edited;
one that was tagged further keeps what it has.

What a sheet brought and nobody touched since is corrected by a corrected sheet;
WEEK.imported.csv beside the tag file keeps what sheets said.

What cannot be read is listed as sheet:row:column. The rest is brought in, and
the exit code is 3: correct the sheet, and import it again.

A FOLDER from another staff, with film, tag files, play sheets and words, is
taken in whole as a folder among your games. Import says what it would do;
--write does it, all of it or nothing. People and games whose ids you have for
others get ids of their own, people by team and jersey. Words that you lack come
along; those that would change yours are left, and said. Their games become
kind: scout. Nothing of yours is changed, and nothing is followed out of it.`,
		Example: `  trenchcut import plays.csv --into wk1.game.yaml --dry-run
  trenchcut import plays.xlsx --into wk1.game.yaml
  trenchcut import plays.csv --into wk1.game.yaml --columns staff.yaml
  trenchcut import /media/stick/harbor --into harbor --write`,
		Args: oneArgument("play sheet or folder", false),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.request.Sheet = args[0]
			if info, err := os.Stat(args[0]); err == nil && info.IsDir() {
				return o.runFolder(cmd.Context())
			}
			if flag := o.folder.given(cmd); flag != "" {
				return wrongCall("--%s goes with a folder of another staff's", flag)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.request.Into, "into", "", "tag `file` to merge into, or to make; of a folder, where it goes")
	o.folder.addFlags(cmd)
	f.StringVar(&o.request.Columns, "columns", "", "column mapping `file`")
	f.StringVar(&o.columns, "write-columns", "", "write what the columns were understood to be to a new `file`")
	f.BoolVar(&o.dryRun, "dry-run", false, "list what would change and write nothing")
	f.StringSliceVar(&o.season.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml beside the tag file)")
	return cmd
}

func (o *importOptions) run(ctx context.Context) error {
	err := o.request.Check()
	if err == nil && o.columns != "" {
		err = (files.Policy{}).Check(o.columns)
	}
	if err != nil {
		return usageError{err}
	}
	vocabulary, err := o.season.vocabularyBeside(o.request.Into)
	if err != nil {
		return err
	}
	bars := o.streams.bars()
	bars.Unit, bars.Patience = "rows", time.Second
	o.request.Progress = func(stage exchange.Stage, done, total int) {
		bars.Show(string(stage), int64(done), int64(total))
	}
	change, err := o.request.Read(ctx, vocabulary)
	bars.Done()
	var faults tags.Faults
	var path *fs.PathError
	switch {
	case errors.As(err, &faults):
		return o.printFaults(faults)
	case errors.As(err, &path), errors.Is(err, exchange.ErrNoID):
		return tags.WrongRequest(err)
	case err != nil:
		return err
	}
	if err := terminal.Understood(o.Out, change.Understood); err != nil {
		return err
	}
	if err := terminal.Paragraphs(o.Out, change.Lines...); err != nil {
		return err
	}
	if err := o.write(change); err != nil {
		return err
	}
	if len(change.Faults) > 0 {
		terminal.Faults(o.Err, change.Faults, o.request.Sheet)
	}
	if err := o.printSummary(change); err != nil || change.Faults.Err() == nil {
		return err
	}
	return reportedError{change.Faults}
}

// write writes the tag file, and the column mapping where one is asked for.
func (o *importOptions) write(change *exchange.Change) error {
	if o.dryRun {
		return nil
	}
	if o.columns != "" {
		data, err := change.Understood.ColumnFile()
		if err != nil {
			return fmt.Errorf("write what was understood: %w", err)
		}
		if err := (files.Policy{}).Write(o.columns, data); err != nil {
			return err
		}
	}
	return change.Write()
}

func (o *importOptions) printSummary(c *exchange.Change) error {
	text := c.Counted()
	if o.dryRun {
		text += " (dry run: nothing written)"
	}
	_, err := fmt.Fprintf(o.Err, "%s: %s\n", c.File, text)
	return err
}

// printFaults prints faults; the lines of a sheet are rows, which are not shown.
func (o *importOptions) printFaults(faults tags.Faults) error {
	terminal.Faults(o.Err, faults, o.request.Sheet)
	return reportedError{faults}
}
