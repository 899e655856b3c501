package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

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
const chooseHelp = `A term is key=value, key!=value, key=one,other or key>=value (also >, <, <=), or
a choice that the vocabulary names, such as inside-counter. All terms must hold.
Quote a term with < or > in it, or the shell takes it for a file.

A fact that is not tagged meets no term, != included; how many reps that left
out is said at the end. "trenchcut find --keys" lists the keys.`

func (o *chooseOptions) addFlags(cmd *cobra.Command) {
	o.season.addFlags(cmd)
	cmd.Flags().StringVar(&o.where, "where", "", "a condition more, in `CEL`, with _ for - in keys")
	cmd.ValidArgsFunction = o.complete
}

// load reads the games and the query. Terms that are wrong are reported before faults in
// the games, because they are nearer to whoever typed them.
func (o *chooseOptions) load(ctx context.Context, withFilm bool) (*tags.Season, *query.Query, error) {
	season, faults, err := o.season.read(ctx, withFilm)
	if err != nil {
		return nil, nil, err
	}
	q, err := query.Parse(o.terms, o.where, season.Vocabulary, season)
	if err != nil {
		return nil, nil, err
	}
	return season, q, faults.Err()
}

// complete offers keys and named choices, then the values of a key.
func (o *chooseOptions) complete(cmd *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	const noFiles = cobra.ShellCompDirectiveNoFileComp
	season, _, err := o.season.read(cmd.Context(), false)
	if err != nil {
		return nil, noFiles
	}
	registry := query.NewRegistry(season.Vocabulary, season)
	if at := strings.LastIndexAny(typed, "=<>,"); at >= 0 {
		f, ok := registry.Find(typed[:max(strings.IndexAny(typed, "!=<>"), 0)])
		if !ok {
			return nil, noFiles
		}
		var offers []string
		for _, value := range registry.Values(f) {
			offers = append(offers, typed[:at+1]+value)
		}
		return offers, noFiles
	}
	offers := slices.Sorted(maps.Keys(season.Vocabulary.Choices))
	for _, f := range registry.Facts {
		offers = append(offers, f.Name+"=\t"+f.Doc)
	}
	return offers, noFiles | cobra.ShellCompDirectiveNoSpace
}

// unjudgedWords is "; 3 more could not be judged (no set tagged)", or nothing.
func unjudgedWords(u query.Unjudged) string {
	if u.Unknown == 0 {
		return ""
	}
	const most = 3
	why := ""
	if len(u.Missing) > 0 {
		why = fmt.Sprintf(" (no %s tagged)", orList(u.Missing[:min(most, len(u.Missing))]))
	}
	return fmt.Sprintf("; %d more could not be judged%s", u.Unknown, why)
}

// orList is "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
