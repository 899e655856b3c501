package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// statsTable is a table of stats by its name.
type statsTable struct {
	name string
	doc  string
	make func(context.Context, *statsInput) (statsView, error)
	// chart is nil where the table has none; of is what it shows, or empty.
	chart func(in *statsInput, of string) (chart, error)
}

// allTables stands for every table.
const allTables = "all"

func allStatsTables() []statsTable {
	return []statsTable{
		{ratesTable, "how often they won, brought pressure, sacked and beat him in time", ratesView, ratesChart},
		{"time", "how long blockers held", timeView, timeChart},
		{seasonTable, "his numbers week by week, and whether they grow", seasonView, seasonChart},
		{"sequence", "what won after what a blocker was shown last", sequenceView, nil},
		{"tendency", "what is done how often, by situation", tendencyView, tendencyChart},
		{"getoff", "how soon after the snap each rusher moves", getoffView, getoffChart},
		{"run", "penetration, stops and the edge against the run", runView, nil},
		{"stunt", "what stunts came to, by kind, role and caller", stuntView, nil},
		{"contain", "the edge owed, kept and lost", containView, nil},
		{"reads", "reads there, taken, and what they paid", readsView, nil},
		{gradesTable, "the grade sheet: a line a player", gradesView, nil},
		{"agreement", "how far two people who tagged the same game agree", agreementView, nil},
	}
}

func statsTableHelp() string {
	var out strings.Builder
	for _, t := range allStatsTables() {
		fmt.Fprintf(&out, "  %-10s %s\n", t.name, t.doc)
	}
	return out.String()
}

func completeTables(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	before := typed[:strings.LastIndex(typed, ",")+1]
	var offers []string
	for _, t := range allStatsTables() {
		offers = append(offers, before+t.name+"\t"+t.doc)
	}
	return append(offers, before+allTables+"\tevery table"), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// statsView is one table made: as an object for JSON, as blocks on a page and as a sheet.
type statsView struct {
	name   string
	title  string
	who    string // who counts
	lead   []string
	blocks []block
	notes  []string
	result any
	sheet  sheet
	// How many figures and how many comparisons the page shows with an interval.
	rates, comparisons int
}

// block is a table on a page.
type block struct {
	columns []column
	rows    [][]string
	said    []string // below it, of it alone
}

// statsPage is everything that stats prints, in whichever form.
type statsPage struct {
	Asked   string
	Unknown int

	reps     []*tags.Rep
	unjudged query.Unjudged
	views    []statsView
}

func (p statsPage) print(w io.Writer) error {
	width := outWidth(w)
	if err := printWrapped(w, width, p.askedWords()); err != nil {
		return err
	}
	rates, comparisons := 0, 0
	for _, v := range p.views {
		if err := v.print(w, width); err != nil {
			return err
		}
		rates += v.rates
		comparisons += v.comparisons
	}
	return printManyWords(w, width, rates, comparisons)
}

// askedWords is what was asked for, and how much there is of it.
func (p statsPage) askedWords() string {
	plays := map[*tags.Play]bool{}
	for _, r := range p.reps {
		plays[r.Play] = true
	}
	return fmt.Sprintf("%s: %s in %s%s.", p.Asked, plural(len(p.reps), "rep"), plural(len(plays), "play"), unjudgedWords(p.unjudged))
}

func (v statsView) print(w io.Writer, width int) error {
	var paragraphs []string
	if v.title != "" { // the table of rates goes on from what was asked, in words of its own
		fmt.Fprintln(w)
		paragraphs = append(paragraphs, strings.ToUpper(v.name)+": "+v.title, "Who counts: "+v.who+".")
	}
	for _, text := range append(paragraphs, v.lead...) {
		if err := printWrapped(w, width, text); err != nil {
			return err
		}
	}
	for _, b := range v.blocks {
		if len(b.rows) == 0 {
			continue
		}
		fmt.Fprintln(w)
		if err := printTable(w, width, b.columns, b.rows); err != nil {
			return err
		}
		for _, text := range b.said {
			if err := printWrapped(w, width, text); err != nil {
				return err
			}
		}
	}
	if len(v.notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, text := range v.notes {
		if err := printWrapped(w, width, text); err != nil {
			return err
		}
	}
	return nil
}

// printManyWords prints manyWords, where there are any.
func printManyWords(w io.Writer, width, rates, comparisons int) error {
	said := manyWords(rates, comparisons)
	if said == "" {
		return nil
	}
	fmt.Fprintln(w)
	return printWrapped(w, width, said)
}

// manyWords says how many chances a page gave to chance.
func manyWords(rates, comparisons int) string {
	var what []string
	if rates > 0 {
		what = append(what, plural(rates, "figure"))
	}
	if comparisons > 0 {
		what = append(what, plural(comparisons, "comparison"))
	}
	if len(what) == 0 {
		return ""
	}
	return strings.Join(what, " and ") + " with an interval on this page. About one interval in 20 misses by chance alone, so look for what repeats, not for the one line that stands out."
}

func (p statsPage) printJSON(w io.Writer) error {
	out := object{{"asked", p.Asked}, {"could-not-judge", p.Unknown}}
	// By itself the table of rates is the object.
	if rates, ok := p.views[0].result.(ratesResult); ok && len(p.views) == 1 {
		return printJSON(w, append(out, field{"summary", rates.Summary}, field{"by", rates.By}))
	}
	tables := object{}
	for _, v := range p.views {
		tables = append(tables, field{v.name, object{{"who-counts", v.who}, {"table", v.result}}})
	}
	return printJSON(w, append(out, field{"tables", tables}))
}

// sheet is a table for spreadsheets and other programs: a cell is a string, an int, a
// share or a time as a float64, or nil where it is not known.
type sheet struct {
	heading []string
	rows    [][]any
}

func (s *sheet) add(cells ...any) { s.rows = append(s.rows, cells) }

func (s sheet) printCSV(w io.Writer) error {
	out := exchange.NewCSVWriter(w)
	_ = out.Write(s.heading) // the writer keeps its error for Error
	for _, row := range s.rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			switch cell := cell.(type) {
			case nil:
			case float64:
				cells[i] = decimal(cell)
			default:
				cells[i] = fmt.Sprint(cell)
			}
		}
		_ = out.Write(cells)
	}
	out.Flush()
	return out.Error()
}

func decimal(share float64) string { return strconv.FormatFloat(share, 'f', 4, 64) }

// rateHeading is the headings of a rate's cells.
func rateHeading(name string) []string {
	name = strings.ReplaceAll(name, " ", "-")
	return []string{name, name + "-of", name + "-unknown", name + "-share", name + "-low", name + "-high"}
}

// rateCells is a rate as cells: k, n, unknown, share and interval.
func rateCells(r stats.Rate) []any {
	share, low, high := shareCells(r.Count)
	return []any{r.K, r.N, r.Unknown, share, low, high}
}

// shareCells is a rate and its interval, from 0 to 1; nil where there are too few reps.
func shareCells(c stats.Count) (share, low, high any) {
	if !c.Enough() {
		return nil, nil, nil
	}
	l, h := c.Interval()
	return float64(c.K) / float64(c.N), l, h
}

// known is a number that may not be known, as a cell.
func known(x *float64) any {
	if x == nil {
		return nil
	}
	return *x
}

// rateWords is "58 (32-81)", or nothing where there are too few reps.
func rateWords(c stats.Count) string {
	if !c.Enough() {
		return ""
	}
	rate, low, high := c.Per100()
	return fmt.Sprintf("%d (%d-%d)", rate, low, high)
}

// countWords is "7/12", or a dash where there was nothing to count.
func countWords(c stats.Count) string {
	if c.N == 0 {
		return "-"
	}
	return c.String()
}

// withRate is "7/12 58 (32-81)".
func withRate(c stats.Count) string { return strings.TrimSpace(countWords(c) + " " + rateWords(c)) }

func sampleWords(c stats.Count) string {
	switch {
	case c.N == 0:
		return "none"
	case !c.Enough():
		return "too few"
	case c.Small():
		return "small"
	default:
		return ""
	}
}

// enough is how many of rates have reps enough to be shown with an interval.
func enough(rates ...stats.Rate) int {
	n := 0
	for _, r := range rates {
		if r.Enough() {
			n++
		}
	}
	return n
}
