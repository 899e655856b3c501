package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

type statsOptions struct {
	streams
	choose chooseOptions
	by     []string
	json   bool
	csv    bool
}

func newStatsCommand(s streams) *cobra.Command {
	o := &statsOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "stats [term…]",
		Short: "Count how often the chosen reps won, and say how sure that is",
		Long: `Stats counts rushes of the passer on dropbacks (job rush, penetrator or looper);
the rest of the chosen reps stands apart. A rate is per 100 rushes and comes
with its 95 % Wilson interval; of fewer than five reps there is only the count.

` + chooseHelp,
		Example: `  trenchcut stats rusher=marlow
  trenchcut stats set=short,jump --by first-move,align
  trenchcut stats inside-counter --json`,
		RunE: func(cmd *cobra.Command, terms []string) error {
			o.choose.terms = terms
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	cmd.Flags().StringSliceVar(&o.by, "by", []string{"last-move", "set"}, "`keys` to break the rates down by")
	o.choose.completeKeys(cmd, "by")
	cmd.Flags().BoolVar(&o.json, "json", false, "print a JSON object")
	cmd.Flags().BoolVar(&o.csv, "csv", false, "print CSV, one line a rate")
	exclusive(cmd, "json", "csv")
	return cmd
}

// statsPage is everything stats prints, in whichever form.
type statsPage struct {
	Asked   string        `json:"asked"`
	Unknown int           `json:"could-not-judge"`
	Summary stats.Summary `json:"summary"`
	By      []breakdown   `json:"by"`

	unjudged query.Unjudged
}

// breakdown is the headline's reps grouped by one fact.
type breakdown struct {
	Key    string        `json:"key"`
	Groups []stats.Group `json:"groups"`
}

func (o *statsOptions) run(ctx context.Context) error {
	season, q, err := o.choose.load(ctx, false)
	if err != nil {
		return err
	}
	facts, err := o.facts(q)
	if err != nil {
		return err
	}
	chosen := q.Reps(season)
	page := statsPage{
		Asked: q.String(), Unknown: chosen.Unknown, unjudged: chosen.Unjudged,
		Summary: stats.Summarise(chosen.Reps, season.Vocabulary),
	}
	counted := stats.Counted(chosen.Reps)
	for _, f := range facts {
		page.By = append(page.By, breakdown{f.Name, stats.By(counted, func(r *tags.Rep) []string { return values(f, r) })})
	}
	switch {
	case o.json:
		return printJSON(o.Out, page)
	case o.csv:
		return page.printCSV(o.Out)
	case len(chosen.Reps) == 0:
		return printNone(o.Err, q, season, foundReps(q, season))
	default:
		return page.print(o.Out)
	}
}

// facts is what --by names.
func (o *statsOptions) facts(q *query.Query) ([]query.Fact, error) {
	return namedFacts(q.Registry(), "stats", "by", o.by)
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

func (p statsPage) print(w io.Writer) error {
	s := p.Summary
	width := outWidth(w)
	paragraphs := []string{
		fmt.Sprintf("%s: %s in %s%s.", p.Asked, plural(s.Reps, "rep"), plural(s.Plays, "play"), unjudgedWords(p.unjudged)),
	}
	if s.Headline.Reps > 0 {
		counted := fmt.Sprintf("%s in the rates: rushers on dropbacks.", plural(s.Headline.Reps, "rep"))
		if apart := s.ApartWords(); apart != "" {
			counted += " Apart: " + apart + "."
		}
		if s.DrewHold > 0 {
			counted += fmt.Sprintf(" Wins that are holds he drew: %d.", s.DrewHold)
		}
		paragraphs = append(paragraphs, counted)
	}
	for _, text := range append(paragraphs, s.Sentence()) {
		if err := printWrapped(w, width, text); err != nil {
			return err
		}
	}
	if s.Headline.Reps == 0 {
		return nil
	}
	if err := printHeadline(w, width, s.Headline); err != nil {
		return err
	}
	tables := append([]breakdown{{"matchup", s.Matchups}}, p.By...)
	shown := intervals([]stats.Group{s.Headline}, allRates)
	for _, table := range tables {
		if err := printGroups(w, width, table); err != nil {
			return err
		}
		shown += intervals(table.Groups, tableRates)
	}
	if err := printOutcomes(w, width, s.Outcomes); err != nil {
		return err
	}
	if shown == 0 {
		return nil
	}
	fmt.Fprintln(w)
	return printWrapped(w, width, fmt.Sprintf("%s with an interval on this page. About one interval in 20 misses by chance alone, so look for what repeats, not for the one line that stands out.", plural(shown, "rate")))
}

func printHeadline(w io.Writer, width int, g stats.Group) error {
	var rows [][]string
	for _, r := range g.Rates() {
		note := ""
		if r.Unknown > 0 {
			note = fmt.Sprintf("%d not known", r.Unknown)
		}
		rate, interval := "", ""
		if r.Enough() {
			at, low, high := r.Per100()
			rate, interval = strconv.Itoa(at), fmt.Sprintf("%d to %d", low, high)
		}
		rows = append(rows, []string{r.Name, r.Count.String(), rate, interval, sampleWords(r.Count), note})
	}
	fmt.Fprintln(w)
	return printTable(w, width, []column{
		{title: "all"},
		{title: "count", right: true},
		{title: "per 100", right: true},
		{title: "95 % interval"},
		{title: "sample"},
		{title: ""},
	}, rows)
}

func printGroups(w io.Writer, width int, table breakdown) error {
	var rows [][]string
	for _, g := range table.Groups {
		row := []string{g.Name, strconv.Itoa(g.Reps)}
		for _, r := range tableRates(g) {
			row = append(row, r.Count.String(), rateWords(r.Count))
		}
		rows = append(rows, append(row, g.Sack.String(), sampleWords(g.Won.Count)))
	}
	fmt.Fprintln(w)
	return printTable(w, width, []column{
		{title: "by " + table.Key, least: 12},
		{title: "reps", right: true},
		{title: "won", right: true},
		{title: "per 100"},
		{title: "pressure", right: true},
		{title: "per 100"},
		{title: "sack", right: true},
		{title: "sample"},
	}, rows)
}

func printOutcomes(w io.Writer, width int, outcomes []stats.Part) error {
	var rows [][]string
	for _, part := range outcomes {
		rows = append(rows, []string{part.Name, strconv.Itoa(part.Reps)})
	}
	fmt.Fprintln(w)
	return printTable(w, width, []column{{title: "by outcome"}, {title: "reps", right: true}}, rows)
}

// tableRates is the rates that a breakdown shows with their intervals.
func tableRates(g stats.Group) []stats.Rate { return []stats.Rate{g.Won, g.Pressure} }

func allRates(g stats.Group) []stats.Rate {
	var rates []stats.Rate
	for _, r := range g.Rates() {
		rates = append(rates, r.Rate)
	}
	return rates
}

// intervals is how many intervals the rates of groups are shown with.
func intervals(groups []stats.Group, rates func(stats.Group) []stats.Rate) int {
	n := 0
	for _, g := range groups {
		for _, r := range rates(g) {
			if r.Enough() {
				n++
			}
		}
	}
	return n
}

// rateWords is "58 (32-81)", or nothing where there are too few reps.
func rateWords(c stats.Count) string {
	if !c.Enough() {
		return ""
	}
	rate, low, high := c.Per100()
	return fmt.Sprintf("%d (%d-%d)", rate, low, high)
}

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

// printCSV prints every rate of every table, a line each.
func (p statsPage) printCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	line := func(cells ...string) { _ = out.Write(cells) } // the writer keeps its error for Error
	line("by", "group", "reps", "rate", "k", "n", "unknown", "share", "low", "high")
	tables := append([]breakdown{{"all", []stats.Group{p.Summary.Headline}}, {"matchup", p.Summary.Matchups}}, p.By...)
	for _, table := range tables {
		for _, g := range table.Groups {
			for _, r := range g.Rates() {
				share, low, high := "", "", ""
				if r.Enough() {
					l, h := r.Interval()
					share, low, high = decimal(float64(r.K)/float64(r.N)), decimal(l), decimal(h)
				}
				line(table.Key, g.Name, strconv.Itoa(g.Reps), r.Name,
					strconv.Itoa(r.K), strconv.Itoa(r.N), strconv.Itoa(r.Unknown), share, low, high)
			}
		}
	}
	for _, part := range p.Summary.Outcomes {
		line("outcome", part.Name, strconv.Itoa(part.Reps), "", "", "", "", "", "", "")
	}
	out.Flush()
	return out.Error()
}

func decimal(share float64) string { return strconv.FormatFloat(share, 'f', 4, 64) }
