// Package help prints the help of a command: its flags in two parts, those that are seldom
// needed last, and no line wider than a page.
package help

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trenchcut/cmd/internal/terminal"
)

// rareFlag marks flags that help lists apart.
const rareFlag = "trenchcut_rare"

// Rare marks flags of a command that are seldom needed, so that its help shows the others
// first.
func Rare(cmd *cobra.Command, names ...string) {
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

// Set makes root and its commands print the flags that are seldom needed apart.
func Set(root *cobra.Command) {
	cobra.AddTemplateFunc("commonFlags", func(cmd *cobra.Command) string {
		return flagsOf(cmd, false).FlagUsagesWrapped(terminal.PageWidth)
	})
	cobra.AddTemplateFunc("rareFlags", func(cmd *cobra.Command) string {
		return flagsOf(cmd, true).FlagUsagesWrapped(terminal.PageWidth)
	})
	const flags = "{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}"
	parted := `{{commonFlags . | trimTrailingWhitespaces}}{{with rareFlags .}}

Seldom needed:
{{. | trimTrailingWhitespaces}}{{end}}`
	root.SetUsageTemplate(strings.Replace(root.UsageTemplate(), flags, parted, 1))
}
