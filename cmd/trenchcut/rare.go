package main

import (
	"slices"
	"strings"

	"trenchcut/cmd/internal/terminal"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// rareFlag marks flags that help lists apart.
const rareFlag = "trenchcut_rare"

// rare marks flags of a command that are seldom needed, so that its help shows the others
// first.
func rare(cmd *cobra.Command, names ...string) {
	for _, name := range names {
		// It fails only for a flag there is not.
		_ = cmd.Flags().SetAnnotation(name, rareFlag, []string{"true"})
	}
}

// flagsOf is the flags of a command that are rare, or those that are not.
func flagsOf(cmd *cobra.Command, wanted bool) *pflag.FlagSet {
	set := pflag.NewFlagSet(cmd.Name(), pflag.ContinueOnError)
	set.SortFlags = cmd.Flags().SortFlags
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if slices.Contains(f.Annotations[rareFlag], "true") == wanted {
			set.AddFlag(f)
		}
	})
	return set
}

// usageTemplate is cobra's, with rare flags apart and lines no wider than a page.
func usageTemplate(cobras string) string {
	const flags = "{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}"
	ours := `{{commonFlags . | trimTrailingWhitespaces}}{{with rareFlags .}}

Seldom needed:
{{. | trimTrailingWhitespaces}}{{end}}`
	return strings.Replace(cobras, flags, ours, 1)
}

// addFlagFuncs makes the two kinds of flags known to the template.
func addFlagFuncs() {
	cobra.AddTemplateFunc("commonFlags", func(cmd *cobra.Command) string {
		return flagsOf(cmd, false).FlagUsagesWrapped(terminal.PageWidth)
	})
	cobra.AddTemplateFunc("rareFlags", func(cmd *cobra.Command) string {
		return flagsOf(cmd, true).FlagUsagesWrapped(terminal.PageWidth)
	})
}
