package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/listing"
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
	if o.keys {
		return printKeys(o.Out, q.Registry().Facts)
	}
	list := listing.Reps(q, s.Season)
	if o.plays {
		list = listing.Plays(q, s.Season)
	}
	if err := o.arrange(list, q.Registry()); err != nil {
		return err
	}
	switch {
	case o.json:
		err = printJSON(o.Out, list.Objects())
	case o.csv:
		err = list.CSV(o.Out)
	default:
		err = terminal.Blocks(o.Out, list.Blocks())
	}
	if err != nil {
		return err
	}
	if list.Len() == 0 {
		return printNone(o.Err, q, s.Season, list)
	}
	_, err = fmt.Fprintf(o.Err, "%s of %d%s\n", tags.Count(list.Len(), list.Noun), list.Among, list.Words())
	return err
}

// arrange sorts and groups the list as the flags say.
func (o *findOptions) arrange(list *listing.List, registry *query.Registry) error {
	by, err := namedFacts(registry, "by", o.by)
	if err != nil {
		return err
	}
	orders, err := listing.ParseOrders(registry, o.sort)
	if err != nil {
		return wrongCall("--sort: %w", err)
	}
	if err := list.Arrange(registry, by, orders); err != nil {
		return usageError{err}
	}
	return nil
}

func printKeys(w io.Writer, facts []query.Fact) error {
	rows := make([][]string, len(facts))
	for i, f := range facts {
		rows[i] = []string{f.Name, f.Kind.String(), f.Doc}
	}
	return terminal.Table(w, terminal.Width(w), []report.Heading{{Title: "key"}, {Title: "holds"}, {Title: "meaning", Least: 20, Fold: true}}, rows)
}
