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
	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/listing"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
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

// agreementHelp says how a second opinion is written.
const agreementHelp = `Two people may tag the same game, each in a file of its own with the same game
id: the second says who, "game: {id: wk1-harbor, by: Ruiz}". What he says counts
in the table agreement alone. The file with no by is first, else the first by
name.`

func newStatsCommand(s streams) *cobra.Command {
	o := &statsOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "stats [term…]",
		Short: "Count how often the chosen reps won, and say how sure that is",
		Long: `Stats counts rushes of the passer on dropbacks (job rush, penetrator or looper);
the rest of the chosen reps stands apart. A rate is per 100 rushes and comes
with its 95 % interval, by how much games differ where there are three or more;
of fewer than five reps there is only the count.

--table prints other tables, and each says who counts in it:

` + statsTableHelp() + `
Tables that tell how rushes ended refuse reps that are chosen, or broken down,
by how they ended: of the reps that were won, all were.

--against compares the chosen reps with others: its terms take the place of the
first ones, --where holds for both.

--chart draws the table asked for, one of
  ` + strings.Join(report.DrawnNames(), ", ") + `
With --against it draws the rates of both sides, or with --table time or hold
their curves. It replaces a file only with --force, as do --page and --xlsx.

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
  trenchcut stats --by first-move --chart-of pressure --chart moves.png
  trenchcut stats --table grades game=wk2-harbor --page monday.html
  trenchcut stats --table week --page week.html
  trenchcut stats --table room,expected,pairs
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
	f.StringArrayVar(&o.by, "by", []string{"first-move", "set"}, "`key` to break rates, times and tendencies down by; a,b crosses two, and a second --by makes a table of its own")
	o.choose.completeKeys(cmd, "by")
	f.StringSliceVarP(&o.tables, "table", "t", []string{report.Rates}, "`tables` to print, or all")
	f.StringArrayVar(&o.against, "against", nil, "`term` of the reps to compare with; once for each term")
	f.BoolVar(&o.json, "json", false, "print a JSON object")
	f.BoolVar(&o.csv, "csv", false, "print one table as CSV")
	o.chart.addFlags(cmd)
	f.BoolVar(&o.force, "force", false, "with --chart, --page or --xlsx: replace a file that exists")
	f.StringVar(&o.xlsx, "xlsx", "", "write the tables, all where none is named, to a spreadsheet `file`")
	f.StringVar(&o.page, "page", "", "write the tables to a page that prints, a `file` ending in .html; of grades with a sheet for each player, of week with one for the room, each man and the next line")
	complete(cmd, "table", completeTables)
	complete(cmd, "against", o.choose.completion((*query.Registry).OfferTerms))
	exclusive(cmd, "json", "csv")
	return cmd
}

func statsTableHelp() string {
	var out strings.Builder
	for _, d := range report.Definitions() {
		fmt.Fprintf(&out, "  %-10s %s\n", d.Name, d.Doc)
	}
	return out.String()
}

func completeTables(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	before := typed[:strings.LastIndex(typed, ",")+1]
	var offers []string
	for _, d := range report.Definitions() {
		offers = append(offers, before+d.Name+"\t"+d.Doc)
	}
	return append(offers, before+report.All+"\tevery table"), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

func (o *statsOptions) run(ctx context.Context) error {
	asked, err := o.named()
	if err != nil {
		return usageError{err}
	}
	loaded, q, err := o.choose.load(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	season := loaded.Season
	if o.against != nil {
		return o.compare(ctx, season, asked, q)
	}
	facts, err := breakdowns(q.Registry(), o.by)
	if err != nil {
		return err
	}
	if err := report.Refuse(asked, q, facts); err != nil {
		return err
	}
	chosen := q.Reps(season)
	if len(chosen.Reps) == 0 && !o.json && !o.csv {
		return o.printNone(q, season)
	}
	r := report.Request{
		Season: season, Query: q, Reps: chosen.Reps, Unjudged: chosen.Unjudged,
		By: facts, ByAsked: o.byAsked, FrameRate: session.FrameRates(ctx),
	}
	if o.chart.files != nil {
		return o.drawTable(asked[0], &r)
	}
	tables := make([]report.Table, len(asked))
	for i, d := range asked {
		if tables[i], err = d.Table(&r); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	switch {
	case o.xlsx != "" || o.page != "":
		return o.writeFiles(asked, tables, &r)
	case o.json:
		return printJSON(o.Out, r.Object(tables))
	case o.csv:
		return tables[0].Grids[0].CSV(o.Out)
	default:
		return terminal.Tables(o.Out, &r, tables)
	}
}

// breakdowns is the facts that --by names, those with commas between them crossed.
func breakdowns(registry *query.Registry, by []string) ([]query.Fact, error) {
	var facts []query.Fact
	for _, keys := range by {
		named, err := namedFacts(registry, "by", strings.Split(keys, ","))
		if err != nil {
			return nil, err
		}
		facts = append(facts, query.Crossed(named...))
	}
	return facts, nil
}

// compare tells the reps of first beside those that --against chooses.
func (o *statsOptions) compare(ctx context.Context, season *tags.Season, asked []report.Definition, first *query.Query) error {
	second, err := query.Parse(o.against, o.choose.where, season.Vocabulary, season)
	if err != nil {
		return err
	}
	if err := errors.Join(report.RefuseChoice(first), report.RefuseChoice(second),
		report.RefuseMeasured(asked, first, nil), report.RefuseMeasured(asked, second, nil)); err != nil {
		return err
	}
	if err := errors.Join(second.Judge(ctx, season), ctx.Err()); err != nil {
		return err
	}
	sides := [2]report.Side{{Query: first, Terms: o.choose.terms}, {Query: second, Terms: o.against}}
	for i := range sides {
		chosen := sides[i].Query.Reps(season)
		if len(chosen.Reps) == 0 && !o.json && !o.csv {
			return o.printNone(sides[i].Query, season)
		}
		sides[i].Reps, sides[i].Unjudged = chosen.Reps, chosen.Unjudged
	}
	against := report.AgainstOf(sides[0], sides[1])
	switch {
	case o.chart.files != nil:
		what := fmt.Sprintf("%s, %d against %s", o.tables[0], len(sides[0].Reps), tags.Count(len(sides[1].Reps), "rep"))
		return o.writeCharts(against.Chart(o.tables[0], season.Vocabulary.Limit), what)
	case o.json:
		return printJSON(o.Out, against)
	case o.csv:
		return against.Grids[0].CSV(o.Out)
	default:
		return terminal.Against(o.Out, against)
	}
}

// printNone says that nothing was chosen. Where a file was to be written, that is a failure.
func (o *statsOptions) printNone(q *query.Query, season *tags.Season) error {
	if err := printNone(o.Err, q, season, listing.Reps(q, season)); err != nil {
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
func (o *statsOptions) named() ([]report.Definition, error) {
	chart, against := o.chart.files != nil, o.against != nil
	for _, c := range []struct {
		wrong bool
		say   string
	}{
		{against && (o.byAsked || o.xlsx != "" || o.tablesAsked && !chart), "--against is a table of its own: want it without --table, --by and --xlsx"},
		{o.xlsx != "" && (o.json || o.csv), "--xlsx writes a file and prints nothing: want it without --json and --csv"},
		{!endsIn(o.xlsx, report.WorkbookSuffix), fmt.Sprintf("--xlsx %s: the name of a spreadsheet ends in %s", o.xlsx, report.WorkbookSuffix)},
		{o.csv && !against && (len(o.tables) != 1 || o.tables[0] == report.All), "--csv prints one table: want one name after --table, or --xlsx for many"},
		{!endsIn(o.page, reel.PageSuffix), fmt.Sprintf("--page %s: the name of a page ends in %s", o.page, reel.PageSuffix)},
		{o.page != "" && (o.json || o.csv || chart || against), "--page writes tables and prints nothing: want it without --json, --csv, --chart and --against"},
		{!chart && (o.chart.of != "" || o.chart.sized), "--chart-of and --chart-size say how to draw: want --chart, and a file to draw into"},
		{o.force && !chart && o.xlsx == "" && o.page == "", "--force replaces a file: want it with --chart, --page or --xlsx"},
		{chart && (o.json || o.csv || o.xlsx != ""), "--chart draws a table and prints nothing: want it without --json, --csv and --xlsx"},
	} {
		if c.wrong {
			return nil, errors.New(c.say)
		}
	}
	switch {
	case against && !chart:
		return nil, nil
	case o.xlsx != "" && !o.tablesAsked:
		return report.Definitions(), nil
	}
	tables, err := report.Named(o.tables)
	if err != nil {
		return nil, fmt.Errorf("--table: %w", err)
	}
	switch {
	case against:
		err = o.chart.checkAgainst(o.tables)
	case chart:
		err = o.chart.check(tables)
	}
	return tables, err
}

// endsIn reports whether the name of a file ends in suffix. It is true of an empty name, for which
// no file is written.
func endsIn(file, suffix string) bool {
	return file == "" || strings.EqualFold(filepath.Ext(file), suffix)
}
