package main

import (
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/mark"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/schema"
)

// schemas is the kinds of file that have a schema.
var schemas = map[string]func(*tags.Vocabulary) schema.Node{
	"tags":       schema.Tags,
	"vocabulary": schema.Vocabulary,
	"reads":      schema.Reads,
	"recipe":     func(*tags.Vocabulary) schema.Node { return plan.RecipeSchema() },
	"keys":       func(*tags.Vocabulary) schema.Node { return mark.KeysSchema() },
	"look":       func(*tags.Vocabulary) schema.Node { return schema.Look() },
}

type schemaOptions struct {
	streams
	staff tags.StaffFiles
}

func newSchemaCommand(s streams) *cobra.Command {
	o := &schemaOptions{streams: s}
	kinds := slices.Sorted(maps.Keys(schemas))
	cmd := &cobra.Command{
		Use:   "schema " + strings.Join(kinds, "|"),
		Short: "Print the JSON Schema of a kind of file, for editors",
		Long: `Schema prints the JSON Schema (draft 2020-12) of tag, vocabulary, reads, recipe,
keys or look files. An editor that knows it completes and underlines as one
types. Many take it from a first line in the file:

  # yaml-language-server: $schema=tags.json

With --vocabulary it knows the staff's own words too.`,
		Example: `  trenchcut schema tags > tags.json
  trenchcut schema tags --vocabulary cedar.vocabulary.yaml > tags.json`,
		ValidArgs: kinds,
		RunE:      func(_ *cobra.Command, args []string) error { return o.run(args) },
	}
	cmd.Flags().StringSliceVar(&o.staff.Vocabulary, "vocabulary", nil, "the staff's own words, as `files`")
	return cmd
}

func (o *schemaOptions) run(args []string) error {
	kinds := slices.Sorted(maps.Keys(schemas))
	if len(args) != 1 {
		return wrongCall("want one kind of file: %s", tags.Either(kinds))
	}
	of, ok := schemas[args[0]]
	if !ok {
		return wrongCall("unknown kind of file %q; %s", args[0], tags.DidYouMean(args[0], kinds))
	}
	v, faults, err := tags.LoadVocabulary(o.staff)
	if err != nil {
		return err
	}
	if err := faults.Err(); err != nil {
		return err
	}
	text, err := of(v).Bytes()
	if err != nil {
		return err
	}
	_, err = o.Out.Write(text)
	return err
}
