package main

import (
	"context"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
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
	cmd.ValidArgsFunction = o.completion((*query.Registry).OfferTerms)
	complete(cmd, "where", cobra.NoFileCompletions)
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
		complete(cmd, flag, o.completion((*query.Registry).OfferKeys))
	}
}

// complete has offer complete the values of a flag.
func complete(cmd *cobra.Command, flag string, offer cobra.CompletionFunc) {
	_ = cmd.RegisterFlagCompletionFunc(flag, offer) // it fails only for a flag there is not
}

// completion returns a completion function for the shell; of offers texts for what is typed so far.
func (o *chooseOptions) completion(of func(r *query.Registry, typed string) []query.Offer) cobra.CompletionFunc {
	return func(cmd *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
		s, err := o.season.load(cmd.Context(), session.FilmForRates)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var texts []string
		directive := cobra.ShellCompDirectiveNoFileComp
		for _, offer := range of(query.NewRegistry(s.Season.Vocabulary, s.Season), typed) {
			texts = append(texts, offer.Text+"\t"+offer.Doc)
			if offer.Open {
				directive |= cobra.ShellCompDirectiveNoSpace
			}
		}
		return texts, directive
	}
}

func namedFacts(registry *query.Registry, flag string, names []string) ([]query.Fact, error) {
	facts, err := registry.Named(names...)
	if err != nil {
		return nil, wrongCall("--%s: %w", flag, err)
	}
	return facts, nil
}
