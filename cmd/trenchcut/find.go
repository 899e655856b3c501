package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
)

type findOptions struct {
	streams
	choose chooseOptions
	plays  bool
	keys   bool
	by     []string
	sort   []string
	json   bool
	csv    bool
}

func newFindCommand(s streams) *cobra.Command {
	o := &findOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "find [term…]",
		Short: "List the reps, or the plays, that meet every term",
		Long:  "Find lists the reps that meet every term, or with --plays the plays.\n\n" + chooseHelp,
		Example: `  trenchcut find inside-counter set=short
  trenchcut find rusher=marlow move=spin,up-and-under outcome!=no-factor
  trenchcut find --plays down=3 'distance>=7'
  trenchcut find move=spin --by set,outcome
  trenchcut find pressure=yes --sort outcome,-time-to-beat
  trenchcut find --where 'time_to_beat < 2.2 && !("penalty" in tagged)'`,
		RunE: func(cmd *cobra.Command, terms []string) error {
			o.choose.terms = terms
			return o.run(cmd.Context())
		},
	}
	o.choose.addFlags(cmd)
	cmd.Flags().BoolVar(&o.plays, "plays", false, "list plays: those that meet the terms, or have a rep that does")
	cmd.Flags().BoolVar(&o.keys, "keys", false, "list the keys that terms may use")
	cmd.Flags().StringSliceVar(&o.by, "by", nil, "`keys` to group by: how many there are of each, then which")
	cmd.Flags().StringSliceVar(&o.sort, "sort", nil, "`keys` to sort by, with - before one for the other way round")
	o.choose.completeKeys(cmd, "by", "sort")
	cmd.Flags().BoolVar(&o.json, "json", false, "print a JSON array, one object a rep; with --by one a group")
	cmd.Flags().BoolVar(&o.csv, "csv", false, "print CSV, one column a key")
	exclusive(cmd, "json", "csv")
	return cmd
}

func (o *findOptions) run(ctx context.Context) error {
	s, q, err := o.choose.load(ctx, session.FilmForRates)
	if err != nil {
		return err
	}
	season := s.Season
	var found found
	switch {
	case o.keys:
		return printKeys(o.Out, q.Registry().Facts)
	case o.plays:
		found = foundPlays(q, season)
	default:
		found = foundReps(q, season)
	}
	if err := found.arrange(q.Registry(), o.by, o.sort, o.plays); err != nil {
		return err
	}
	switch {
	case o.json:
		err = found.printJSON(o.Out)
	case o.csv:
		err = found.printCSV(o.Out)
	case len(found.rows) > 0:
		err = found.print(o.Out)
	}
	if err != nil {
		return err
	}
	if len(found.rows) > 0 {
		_, err = fmt.Fprintf(o.Err, "%s of %d%s\n", tags.Count(len(found.rows), found.noun), found.among, unjudgedWords(found.Unjudged))
		return err
	}
	return printNone(o.Err, q, season, found)
}

// found is what a search gave, whether it was for reps or for plays.
type found struct {
	query.Unjudged
	noun    string
	among   int // how many were looked at
	columns []column
	shown   []string // the facts that the columns tell
	rows    [][]string
	games   []*tags.Game // of each row
	facts   []query.Fact
	values  func(row int, f query.Fact) (any, bool)

	sorted bool // by other than film order
	by     []query.Fact
	groups []foundGroup
}

func (l *found) add(g *tags.Game, row []string) {
	l.games = append(l.games, g)
	l.rows = append(l.rows, row)
}

// print prints a table with the name of each game above its rows, or each group.
func (l found) print(w io.Writer) error {
	if l.by != nil {
		return l.printGroups(w)
	}
	if l.sorted {
		return printTable(w, outWidth(w), l.columns, l.rows)
	}
	rows := make([][]string, 0, len(l.rows)+len(l.rows)/16)
	for i, row := range l.rows {
		if g := l.games[i]; i == 0 || g != l.games[i-1] {
			rows = append(rows, []string{strings.Join(strings.Fields(g.ID+" "+g.Date+" "+g.Opponent), " ")})
		}
		rows = append(rows, row)
	}
	return printTable(w, outWidth(w), l.columns, rows)
}

func foundReps(q *query.Query, season *tags.Season) found {
	result := q.Reps(season)
	list := found{
		Unjudged: result.Unjudged, noun: "rep", among: len(season.Reps()), facts: outFacts(q, false),
		values: func(row int, f query.Fact) (any, bool) { return f.OfRep(result.Reps[row]) },
		columns: []column{
			{title: "rep"},
			{title: "clock", right: true, spare: 1},
			{title: "down", spare: 3},
			{title: "player", least: 7},
			{title: "align", spare: 2},
			{title: "moves", least: 12, fold: true, spare: 5},
			{title: "set", spare: 4},
			{title: "outcome", least: 9},
		},
		shown: []string{"rep", "game", "date", "quarter", "clock", "down", "distance", "rusher", "align", "sequence", "set", "outcome"},
	}
	list.games, list.rows = make([]*tags.Game, 0, len(result.Reps)), make([][]string, 0, len(result.Reps))
	for _, r := range result.Reps {
		outcome := r.Outcome
		if outcome == "" {
			outcome = r.Battle
		}
		list.add(r.Play.Game, []string{
			within(r.Play.Game, r.Name()), when(r.Play), r.Play.DownAndDistance(), cmp.Or(r.Rusher.Name, r.Rusher.Shown()),
			r.Align, r.Sequence(), r.Set, outcome,
		})
	}
	return list
}

func foundPlays(q *query.Query, season *tags.Season) found {
	result := q.Plays(season)
	list := found{
		Unjudged: result.Unjudged, noun: "play", among: len(season.Plays()), facts: outFacts(q, true),
		values: func(row int, f query.Fact) (any, bool) { return f.OfPlayAlone(result.Plays[row]) },
		columns: []column{
			{title: "play"},
			{title: "clock", right: true, spare: 1},
			{title: "down", spare: 3},
			{title: "type"},
			{title: "front", least: 5},
			{title: "protection", spare: 2},
			{title: "rushers", least: 12, fold: true},
		},
		shown: []string{"play", "game", "date", "quarter", "clock", "down", "distance", "type", "front", "protection"},
	}
	for _, p := range result.Plays {
		var rushers []string
		for _, r := range p.Reps {
			rushers = append(rushers, r.Rusher.Number())
		}
		list.add(p.Game, []string{
			within(p.Game, p.Name()), when(p), p.DownAndDistance(), p.Type,
			p.Front, p.Protection, strings.Join(rushers, " "),
		})
	}
	return list
}

// outFacts is the facts that are written out; an empty cell says itself what is not tagged.
func outFacts(q *query.Query, ofPlays bool) []query.Fact {
	var facts []query.Fact
	for _, f := range q.Registry().Facts {
		if f.Name != "tagged" && (f.OfPlay || !ofPlays) {
			facts = append(facts, f)
		}
	}
	return facts
}

func number(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// within is the name of a play or rep under its game's heading: p014-91.
func within(g *tags.Game, name string) string { return strings.TrimPrefix(name, g.ID+"-") }

// when is "1 11:32": the quarter and what was left of it.
func when(p *tags.Play) string { return strings.TrimSpace(number(p.Quarter) + " " + p.Clock) }

// printCSV prints a header and a line each, RFC 4180 but for lines that end in LF.
func (l found) printCSV(w io.Writer) error {
	out := exchange.NewCSVWriter(w)
	var header []string
	for _, f := range l.by {
		header = append(header, "by-"+f.Name)
	}
	for _, f := range l.facts {
		header = append(header, f.Name)
	}
	if err := out.Write(header); err != nil {
		return err
	}
	groups := l.groups
	if l.by == nil {
		groups = []foundGroup{{rows: l.all()}}
	}
	for _, g := range groups {
		for _, row := range g.rows {
			cells := l.named(g)
			for _, f := range l.facts {
				value, ok := l.values(row, f)
				if !ok {
					cells = append(cells, "")
					continue
				}
				cells = append(cells, f.Format(value))
			}
			if err := out.Write(cells); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// printJSON prints an object each, with the facts that are known.
func (l found) printJSON(w io.Writer) error {
	if l.by == nil {
		return printJSON(w, l.objects(l.all()))
	}
	list := make([]report.Object, len(l.groups))
	for i, g := range l.groups {
		by := report.Object{}
		for j, f := range l.by {
			if g.values[j] != nil {
				by = append(by, report.Member{Name: f.Name, Value: jsonValue(f, g.values[j])})
			}
		}
		list[i] = report.Object{{Name: "by", Value: by}, {Name: "count", Value: len(g.rows)}, {Name: l.noun + "s", Value: l.objects(g.rows)}}
	}
	return printJSON(w, list)
}

func (l found) objects(rows []int) []report.Object {
	list := make([]report.Object, len(rows))
	for i, row := range rows {
		for _, f := range l.facts {
			if value, ok := l.values(row, f); ok {
				list[i] = append(list[i], report.Member{Name: f.Name, Value: jsonValue(f, value)})
			}
		}
	}
	return list
}

func jsonValue(f query.Fact, value any) any {
	switch f.Kind {
	case query.Clock, query.Person:
		return f.Format(value)
	case query.Seconds:
		return math.Round(value.(float64)*1000) / 1000
	default:
		return value
	}
}

// printNone says that nothing matches, and which term it is that nothing meets.
func printNone(w io.Writer, q *query.Query, season *tags.Season, l found) error {
	said := fmt.Sprintf("no %s of %d matches%s", l.noun, l.among, strings.Replace(unjudgedWords(l.Unjudged), " more", "", 1))
	counts, err := q.ByTerm(season, l.noun == "play")
	if err != nil {
		return err
	}
	var alone []string
	for _, c := range counts {
		if c.N > 0 {
			alone = append(alone, fmt.Sprintf("%s %d", c.Term, c.N))
			continue
		}
		said += fmt.Sprintf("\n%s by itself matches no %s", c.Term, l.noun)
		if c.Hint != "" {
			said += "; " + c.Hint
		}
	}
	if len(alone) == len(counts) && len(counts) > 1 {
		said += fmt.Sprintf("\n%ss for each term by itself: %s", l.noun, strings.Join(alone, ", "))
	}
	if l.noun != "play" {
		if n := len(q.Plays(season).Plays); n > 0 {
			said += fmt.Sprintf("\n--plays finds %s", tags.Count(n, "play"))
		}
	}
	_, err = fmt.Fprintln(w, printable(said))
	return err
}

func printKeys(w io.Writer, facts []query.Fact) error {
	rows := make([][]string, len(facts))
	for i, f := range facts {
		rows[i] = []string{f.Name, f.Kind.String(), f.Doc}
	}
	return printTable(w, outWidth(w), []column{{title: "key"}, {title: "holds"}, {title: "meaning", least: 20, fold: true}}, rows)
}

// exclusive refuses two of the flags at once, as a call that was wrong.
func exclusive(cmd *cobra.Command, names ...string) {
	before := cmd.PreRunE
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error {
		given := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !cmd.Flags().Changed(name) })
		if len(given) > 1 {
			return usageError{fmt.Errorf("--%s and --%s do not go together: want one of them", given[0], given[1]), cmd.CommandPath()}
		}
		if before != nil {
			return before(cmd, args)
		}
		return nil
	}
}
