package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

type importOptions struct {
	streams
	season  seasonOptions // for the staff's vocabulary
	into    string
	columns string
	dryRun  bool
}

func newImportCommand(s streams) *cobra.Command {
	o := &importOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "import SHEET.csv|.xlsx",
		Short: "Bring a play sheet into a tag file, over nothing that is there",
		Long: `Import reads a play sheet, CSV or XLSX with one row a play (or one a play and
angle), and merges it into a tag file by play number. Values that are absent are
filled and plays that are missing are added; what the tag file says already is
kept, and listed where the sheet differs. Where there is no tag file, one is
made.

Headings such as Play, Qtr, Dn, Dist or Yard Line are known; others become extra
keys of the play. A column mapping names what is not known:

  trenchcut: 1
  columns: {"PLAY #": play, "BOX": front, "EZ start": endzone in, COACH: skip}
  values: {type: {Pass: dropback}, down: {"0": ""}}

"Pass" does not say which type of play it was, so values must; "" leaves a cell
out. A new tag file takes its passers from the sheet, by jersey or name.

All faults of the sheet are listed at once as sheet:row:column, and then nothing
is written.`,
		Example: `  trenchcut import plays.csv --into wk1.game.yaml --dry-run
  trenchcut import plays.xlsx --into wk1.game.yaml
  trenchcut import plays.csv --into wk1.game.yaml --columns staff.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageError{fmt.Errorf("%s takes one play sheet, got %d", cmd.CommandPath(), len(args)), cmd.CommandPath()}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(args[0]) },
	}
	f := cmd.Flags()
	f.StringVar(&o.into, "into", "", "tag `file` to merge into, or to make")
	f.StringVar(&o.columns, "columns", "", "column mapping `file`")
	f.BoolVar(&o.dryRun, "dry-run", false, "list what would change and write nothing")
	f.StringSliceVar(&o.season.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml beside the tag file)")
	return cmd
}

func (o *importOptions) run(sheetFile string) error {
	const help = "trenchcut import"
	switch ext := strings.ToLower(filepath.Ext(sheetFile)); {
	case o.into == "":
		return usageError{errors.New("--into says which tag file the sheet goes into"), help}
	case !strings.HasSuffix(o.into, tags.Suffix):
		return usageError{fmt.Errorf("--into %s: a tag file's name ends in %s", o.into, tags.Suffix), help}
	case ext != ".csv" && ext != ".tsv" && ext != ".txt" && ext != ".xlsx":
		return usageError{fmt.Errorf("%s: a play sheet is .csv or .xlsx", sheetFile), help}
	}
	vocabulary, err := o.vocabulary()
	if err != nil {
		return err
	}
	old, err := os.ReadFile(o.into)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("read the tag file: %w", err)
	}
	mapping, err := o.mapping()
	if err != nil {
		return err
	}
	data, err := readBounded(sheetFile)
	if err != nil {
		return usageError{err: fmt.Errorf("read the play sheet: %w", err)}
	}
	sheet, faults := exchange.ReadSheet(sheetFile, data)
	if faults.Err() != nil {
		return o.refused(sheetFile, faults)
	}
	change, err := exchange.Merge(o.into, old, sheet, mapping, vocabulary)
	var wrong tags.Faults
	switch {
	case errors.As(err, &wrong):
		return o.refused(sheetFile, wrong)
	case errors.Is(err, exchange.ErrNoID):
		return usageError{err: err}
	case err != nil:
		return err
	}
	for _, line := range change.Lines {
		fmt.Fprintln(o.Out, printable(line))
	}
	if change.Added+change.Filled > 0 && !o.dryRun {
		if err := tags.WriteFile(o.into, old, change.Data); err != nil {
			return err
		}
	}
	return o.summary(change)
}

func (o *importOptions) summary(c *exchange.Change) error {
	said := fmt.Sprintf("%s added, %s filled", plural(c.Added, "play"), plural(c.Filled, "value"))
	if c.Differs > 0 {
		said += fmt.Sprintf(", %s kept where the sheet differs", plural(c.Differs, "value"))
	}
	if o.dryRun {
		said += " (dry run: nothing written)"
	}
	_, err := fmt.Fprintf(o.Err, "%s: %s\n", o.into, said)
	return err
}

func (o *importOptions) vocabulary() (*tags.Vocabulary, error) {
	o.season.request.Games = []string{filepath.Dir(o.into)}
	return session.Vocabulary(o.season.request)
}

func (o *importOptions) mapping() (*exchange.Columns, error) {
	if o.columns == "" {
		return nil, nil
	}
	data, err := os.ReadFile(o.columns)
	if err != nil {
		return nil, usageError{err: fmt.Errorf("read the column mapping: %w", err)}
	}
	return exchange.ParseColumns(o.columns, data)
}

// refused prints the faults; of a sheet, whose lines are rows, without the line they are in.
func (o *importOptions) refused(sheet string, faults tags.Faults) error {
	var elsewhere tags.Faults
	for _, f := range faults {
		if f.Pos.File != sheet {
			elsewhere = append(elsewhere, f)
			continue
		}
		fmt.Fprintln(o.Err, printable(f.Error()))
	}
	if len(elsewhere) > 0 {
		printFaults(o.Err, elsewhere)
	} else {
		fmt.Fprintln(o.Err, countFaults(faults))
	}
	return reportedError{faults}
}

// readBounded reads no more of a file than shows that it is too large for a sheet.
func readBounded(file string) (data []byte, err error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return io.ReadAll(io.LimitReader(f, exchange.MaxSheet+1))
}
