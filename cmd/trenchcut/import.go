package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

type importOptions struct {
	streams
	season  seasonOptions // for the staff's vocabulary
	request exchange.Import
	dryRun  bool
}

func newImportCommand(s streams) *cobra.Command {
	o := &importOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "import SHEET.csv|.xlsx",
		Short: "Bring a play sheet into a tag file, over nothing that is there",
		Long: `Import reads a play sheet, CSV or XLSX with one row a play (or one a play and
angle), and merges it into a tag file by play number. It fills what is absent
and adds plays that are missing. It keeps what the tag file says already, and
lists where the sheet differs. Where there is no tag file, it makes one.

Headings such as Play, Qtr, Dn, Dist or Yard Line are known; others become extra
keys of the play. A column mapping names what is not known:

  trenchcut: 1
  columns: {"PLAY #": play, "BOX": front, "EZ start": endzone in, COACH: skip}
  values: {type: {Pass: dropback}, down: {"0": ""}}

"Pass" does not say which type of play it was, so values must; "" leaves a cell
out. A new tag file takes its passers from the sheet, by jersey or name.

It lists all faults of the sheet as sheet:row:column, and then writes nothing.`,
		Example: `  trenchcut import plays.csv --into wk1.game.yaml --dry-run
  trenchcut import plays.xlsx --into wk1.game.yaml
  trenchcut import plays.csv --into wk1.game.yaml --columns staff.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageError{fmt.Errorf("%s takes one play sheet, got %d", cmd.CommandPath(), len(args)), cmd.CommandPath()}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			o.request.Sheet = args[0]
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.request.Into, "into", "", "tag `file` to merge into, or to make")
	f.StringVar(&o.request.Columns, "columns", "", "column mapping `file`")
	f.BoolVar(&o.dryRun, "dry-run", false, "list what would change and write nothing")
	f.StringSliceVar(&o.season.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml beside the tag file)")
	return cmd
}

func (o *importOptions) run(ctx context.Context) error {
	if err := o.request.Check(); err != nil {
		return usageError{err, "trenchcut import"}
	}
	vocabulary, err := o.season.vocabularyBeside(o.request.Into)
	if err != nil {
		return err
	}
	change, err := o.request.Read(ctx, vocabulary)
	var faults tags.Faults
	var path *fs.PathError
	switch {
	case errors.As(err, &faults):
		return o.printFaults(faults)
	case errors.As(err, &path), errors.Is(err, exchange.ErrNoID):
		return usageError{err: err}
	case err != nil:
		return err
	}
	for _, line := range change.Lines {
		fmt.Fprintln(o.Out, printable(line))
	}
	if !o.dryRun {
		if err := change.Write(); err != nil {
			return err
		}
	}
	return o.printSummary(change)
}

func (o *importOptions) printSummary(c *exchange.Change) error {
	text := fmt.Sprintf("%s added, %s filled", plural(c.Added, "play"), plural(c.Filled, "value"))
	if c.Differs > 0 {
		text += fmt.Sprintf(", %s kept where the sheet differs", plural(c.Differs, "value"))
	}
	if o.dryRun {
		text += " (dry run: nothing written)"
	}
	_, err := fmt.Fprintf(o.Err, "%s: %s\n", c.File, text)
	return err
}

// vocabularyBeside is the vocabulary that holds for a tag file, which may not exist yet.
func (o seasonOptions) vocabularyBeside(tagFile string) (*tags.Vocabulary, error) {
	o.request.Games = []string{filepath.Dir(tagFile)}
	return session.Vocabulary(o.request)
}

// printFaults prints faults; the lines of a sheet are rows, which are not shown.
func (o *importOptions) printFaults(faults tags.Faults) error {
	printFaults(o.Err, faults, o.request.Sheet)
	return reportedError{faults}
}
