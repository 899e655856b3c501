package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

type statsOptions struct {
	streams
	choose      chooseOptions
	by          []string
	byAsked     bool
	tables      []string
	tablesAsked bool
	against     []string
	json        bool
	csv         bool
	xlsx        string
	page        string
	chart       chartOptions
	force       bool
}

func newStatsCommand(s streams) *cobra.Command {
	o := &statsOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "stats [term…]",
		Short: "Count how often the chosen reps won, and say how sure that is",
		Long: `Stats counts rushes of the passer on dropbacks (job rush, penetrator or looper);
the rest of the chosen reps stands apart. A rate is per 100 rushes and comes
with its 95 % Wilson interval; of fewer than five reps there is only the count.

--table prints other tables, and each says who counts in it:

` + statsTableHelp() + `
--against compares the chosen reps with others: its terms take the place of the
first ones, --where holds for both.

--chart draws rates, time, season, getoff or tendency, whichever is asked for;
with --against the rates of both sides, or with --table time their curves. It
replaces a file only with --force, as do --page and --xlsx.

` + agreementHelp + `

` + chooseHelp,
		Example: `  trenchcut stats rusher=marlow
  trenchcut stats set=short,jump --by first-move,align
  trenchcut stats path=inside --against path=outside
  trenchcut stats rusher=91 set=short --against rusher=91 --against set=vertical
  trenchcut stats game=wk2-harbor --table grades
  trenchcut stats --table season rusher=91
  trenchcut stats --table time --by set
  trenchcut stats --table time --by set --chart time.svg
  trenchcut stats --by last-move --chart-of pressure --chart moves.png
  trenchcut stats --table grades game=wk2-harbor --page monday.html
  trenchcut stats --xlsx season.xlsx`,
		RunE: func(cmd *cobra.Command, terms []string) error {
			o.choose.terms = terms
			o.byAsked, o.tablesAsked = cmd.Flags().Changed("by"), cmd.Flags().Changed("table")
			o.chart.sized = cmd.Flags().Changed("chart-size")
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	f := cmd.Flags()
	f.StringSliceVar(&o.by, "by", []string{"last-move", "set"}, "`keys` to break rates, times and tendencies down by")
	o.choose.completeKeys(cmd, "by")
	f.StringSliceVarP(&o.tables, "table", "t", []string{ratesTable}, "`tables` to print, or all")
	f.StringArrayVar(&o.against, "against", nil, "`term` of the reps to compare with; once for each term")
	f.BoolVar(&o.json, "json", false, "print a JSON object")
	f.BoolVar(&o.csv, "csv", false, "print one table as CSV")
	o.chart.addFlags(cmd)
	f.BoolVar(&o.force, "force", false, "with --chart, --page or --xlsx: replace a file that exists")
	f.StringVar(&o.xlsx, "xlsx", "", "write the tables, all where none is named, to a spreadsheet `file`")
	f.StringVar(&o.page, "page", "", "write the tables to a page that prints, a `file` ending in .html; of grades, with a sheet for each player")
	// These fail only for a flag there is not.
	_ = cmd.RegisterFlagCompletionFunc("table", completeTables)
	_ = cmd.RegisterFlagCompletionFunc("against", o.choose.complete)
	exclusive(cmd, "json", "csv")
	return cmd
}

func (o *statsOptions) run(ctx context.Context) error {
	tables, err := o.named()
	if err != nil {
		return usageError{err, "trenchcut stats"}
	}
	s, q, err := o.choose.load(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	season := s.Season
	if o.against != nil {
		return o.compare(season, q)
	}
	facts, err := namedFacts(q.Registry(), "stats", "by", o.by)
	if err != nil {
		return err
	}
	chosen := q.Reps(season)
	if len(chosen.Reps) == 0 && !o.json && !o.csv {
		return o.printNone(q, season)
	}
	in := statsInput{season: season, query: q, registry: q.Registry(), reps: chosen.Reps, unjudged: chosen.Unjudged, by: facts, byAsked: o.byAsked}
	if o.chart.files != nil {
		return o.makeChart(tables[0], &in)
	}
	page := statsPage{Asked: q.String(), Unknown: chosen.Unknown, reps: chosen.Reps, unjudged: chosen.Unjudged}
	for _, t := range tables {
		view, err := t.make(ctx, &in)
		if err != nil {
			return fmt.Errorf("table %s: %w", t.name, err)
		}
		view.name = t.name
		page.views = append(page.views, view)
	}
	switch {
	case o.xlsx != "" || o.page != "":
		return o.writeFiles(page, tables, &in)
	case o.json:
		return page.printJSON(o.Out)
	case o.csv:
		return page.views[0].sheet.printCSV(o.Out)
	default:
		return page.print(o.Out)
	}
}

// writeFiles writes the spreadsheet, the page, or both.
func (o *statsOptions) writeFiles(p statsPage, tables []statsTable, in *statsInput) error {
	if o.xlsx != "" {
		if err := o.writeXLSX(p); err != nil {
			return err
		}
	}
	if o.page == "" {
		return nil
	}
	return o.writePage(p, tables, in)
}

// printNone says that nothing was chosen. Where a file was to be written, that is a failure.
func (o *statsOptions) printNone(q *query.Query, season *tags.Season) error {
	if err := printNone(o.Err, q, season, foundReps(q, season)); err != nil {
		return err
	}
	for _, file := range append(slices.Clone(o.chart.files), o.xlsx, o.page) {
		if file != "" {
			return reportedError{fmt.Errorf("nothing to write to %s", file)}
		}
	}
	return nil
}

// named is the tables that were asked for; none for a comparison. It refuses what does not
// go together.
func (o *statsOptions) named() ([]statsTable, error) {
	tables, err := o.namedTables()
	if err == nil {
		err = o.checkPage()
	}
	switch {
	case err != nil:
		return nil, err
	case o.chart.files == nil && (o.chart.of != "" || o.chart.sized):
		return nil, errors.New("--chart-of and --chart-size say how to draw: want --chart, and a file to draw into")
	case o.force && o.chart.files == nil && o.xlsx == "" && o.page == "":
		return nil, errors.New("--force replaces a file: want it with --chart, --page or --xlsx")
	case o.chart.files == nil:
		return tables, nil
	case o.json || o.csv || o.xlsx != "":
		return nil, errors.New("--chart draws a table and prints nothing: want it without --json, --csv and --xlsx")
	case o.against != nil:
		return nil, o.chart.checkAgainst(o.tables)
	}
	return tables, o.chart.check(tables)
}

func (o *statsOptions) namedTables() ([]statsTable, error) {
	all := allStatsTables()
	switch {
	case o.against != nil && o.chart.files != nil && !o.byAsked && o.xlsx == "":
		return nil, nil
	case o.against != nil && (o.tablesAsked || o.byAsked || o.xlsx != ""):
		return nil, errors.New("--against is a table of its own: want it without --table, --by and --xlsx")
	case o.against != nil:
		return nil, nil
	case o.xlsx != "" && (o.json || o.csv):
		return nil, errors.New("--xlsx writes a file and prints nothing: want it without --json and --csv")
	case o.xlsx != "" && !strings.EqualFold(filepath.Ext(o.xlsx), xlsxSuffix):
		return nil, fmt.Errorf("--xlsx %s: the name of a spreadsheet ends in %s", o.xlsx, xlsxSuffix)
	case o.csv && (len(o.tables) != 1 || o.tables[0] == allTables):
		return nil, errors.New("--csv prints one table: want one name after --table, or --xlsx for many")
	case slices.Contains(o.tables, allTables), o.xlsx != "" && !o.tablesAsked:
		return all, nil
	}
	known := make([]string, len(all))
	for i, t := range all {
		known[i] = t.name
	}
	oneOf := "want one of " + strings.Join(known, ", ") + ", or " + allTables
	if len(o.tables) == 0 {
		return nil, errors.New("--table names no table; " + oneOf)
	}
	var tables []statsTable
	for i, name := range o.tables {
		at := slices.Index(known, name)
		if at < 0 {
			return nil, fmt.Errorf("--table: unknown table %q; %s", name, cmp.Or(tags.DidYouMean(name, known), oneOf))
		}
		if !slices.Contains(o.tables[:i], name) {
			tables = append(tables, all[at])
		}
	}
	return tables, nil
}

// statsInput is what tables are made of.
type statsInput struct {
	season   *tags.Season
	query    *query.Query
	registry *query.Registry
	reps     []*tags.Rep // the chosen
	unjudged query.Unjudged
	by       []query.Fact
	byAsked  bool // whether by is what was asked for, and not the default
}

// values is the groups that a rep belongs to by one fact.
func values(f query.Fact, r *tags.Rep) []string {
	value, ok := f.OfRep(r)
	if !ok {
		return nil
	}
	if list, ok := value.([]string); ok && f.Kind == query.List {
		if len(list) == 0 {
			return []string{"none"} // which is more than not tagged
		}
		return list
	}
	return []string{f.Format(value)}
}

// valuesOf is values of one fact.
func valuesOf(f query.Fact) func(*tags.Rep) []string {
	return func(r *tags.Rep) []string { return values(f, r) }
}
