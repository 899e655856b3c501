package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// chooseOptions is the one way in which commands choose reps and plays.
type chooseOptions struct {
	season seasonOptions
	terms  []string
	where  string
}

// chooseHelp is what every command that chooses says of terms.
const chooseHelp = `A term is key=value, key!=value, key=one,other or key>=value (also >, <, <=);
a yes-or-no key alone, such as inside-counter; or a choice that the vocabulary
names, such as red-zone. All terms must hold.

A value with a comma in it goes in double quotes, where "" stands for a quote.
Put single quotes around a term with quotes, < or > in it, or the shell takes
them for its own: 'call="Trips, Right"'.

A fact that is not tagged meets no term, != included; how many reps that left
out is said at the end. "trenchcut find --keys" lists the keys.`

func (o *chooseOptions) addFlags(cmd *cobra.Command) {
	o.season.addFlags(cmd)
	cmd.Flags().StringVar(&o.where, "where", "", "a condition more, in `CEL`, with _ for - in keys")
	cmd.ValidArgsFunction = o.complete
	// It fails only for a flag there is not.
	_ = cmd.RegisterFlagCompletionFunc("where", cobra.NoFileCompletions)
}

// load reads the games and the query. Terms that are wrong are reported before faults in
// the games, because they are nearer to whoever typed them.
func (o *chooseOptions) load(ctx context.Context, film session.FilmUse) (*session.Session, *query.Query, error) {
	s, err := o.season.load(ctx, film)
	if err != nil {
		return nil, nil, err
	}
	q, err := query.Parse(o.terms, o.where, s.Season.Vocabulary, s.Season)
	if err != nil {
		return nil, nil, err
	}
	if err := s.Faults.Err(); err != nil {
		return nil, nil, err
	}
	return s, q, q.Judge(ctx, s.Season)
}

// completeKeys offers keys as values of flags, after those that stand there already.
func (o *chooseOptions) completeKeys(cmd *cobra.Command, flags ...string) {
	for _, flag := range flags {
		// It fails only for a flag there is not, and then nothing is offered.
		_ = cmd.RegisterFlagCompletionFunc(flag, func(cmd *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
			s, err := o.season.load(cmd.Context(), session.FilmForRates)
			if err != nil {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			before := typed[:strings.LastIndex(typed, ",")+1]
			if strings.HasPrefix(typed[len(before):], "-") {
				before += "-"
			}
			var offers []string
			for _, f := range query.NewRegistry(s.Season.Vocabulary, s.Season).Facts {
				offers = append(offers, before+f.Name+"\t"+f.Doc)
			}
			return offers, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
		})
	}
}

// namedFacts is the facts that a flag of a command names.
func namedFacts(registry *query.Registry, command, flag string, names []string) ([]query.Fact, error) {
	facts, err := registry.Named(names...)
	if err != nil {
		return nil, usageError{fmt.Errorf("--%s: %w", flag, err), "trenchcut " + command}
	}
	return facts, nil
}

// complete offers keys and named choices, then the values of a key.
func (o *chooseOptions) complete(cmd *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	const noFiles = cobra.ShellCompDirectiveNoFileComp
	s, err := o.season.load(cmd.Context(), session.FilmForRates)
	if err != nil {
		return nil, noFiles
	}
	registry := query.NewRegistry(s.Season.Vocabulary, s.Season)
	if start, ok := tags.ValueStart(typed); ok {
		f, ok := registry.Find(typed[:max(strings.IndexAny(typed, "!=<>"), 0)])
		if !ok {
			return nil, noFiles
		}
		var offers []string
		values, counts := registry.Occurring(f)
		noun := "rep"
		if f.OfPlay {
			noun = "play"
		}
		for _, value := range values {
			// A full name is more to type than its number, and the shell would quote it.
			if !strings.Contains(value, " ") || f.Kind != query.Person {
				offers = append(offers, typed[:start]+tags.QuoteValue(value)+"\t"+tags.Count(counts[value], noun))
			}
		}
		return offers, noFiles
	}
	var offers []string
	for _, name := range slices.Sorted(maps.Keys(s.Season.Vocabulary.Choices)) {
		offers = append(offers, name+"\t"+s.Season.Vocabulary.Choices[name].String())
	}
	for _, f := range registry.Facts {
		offer := f.Name + "="
		if f.Kind == query.YesNo {
			offer = f.Name // which is a term by itself
		}
		offers = append(offers, offer+"\t"+f.Doc)
	}
	return offers, noFiles | cobra.ShellCompDirectiveNoSpace
}
