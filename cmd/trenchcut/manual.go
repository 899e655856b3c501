package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/help"
)

func newManualCommand(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "manual",
		Short: "Print the manual page, for man",
		Long: `Manual prints one page of all that help says, as man and its kin read it.
The archives that make dist builds carry it.`,
		Example: `  trenchcut manual > trenchcut.1
  man ./trenchcut.1`,
		Args:   noArguments,
		Hidden: true,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprint(s.Out, help.Manual(cmd.Root()))
			return err
		},
	}
}
