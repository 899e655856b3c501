package main

import (
	"fmt"
	"runtime"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/session"
)

func newVersionCommand(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Say which version this is",
		Long: `Version says which version of trenchcut this is, and which Go built it for which
system. That of ffmpeg is said by doctor.`,
		Args: noArguments,
		RunE: func(*cobra.Command, []string) error {
			_, err := fmt.Fprint(s.Out, versionText())
			return err
		},
	}
}

func versionText() string {
	return fmt.Sprintf("trenchcut %s (%s, %s/%s)\n", session.Version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
