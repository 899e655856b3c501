package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"testing"

	"github.com/spf13/cobra"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

func TestExitCodeAndReport(t *testing.T) {
	fault := tags.Fault{Pos: tags.Pos{File: "no-such-file", Line: 3, Column: 9}, What: "unknown move"}
	for _, test := range []struct {
		name string
		err  error
		code int
		says string
	}{
		{"done", nil, 0, ""},
		{"failed", errors.New("disk full"), 1, "trenchcut: disk full\n"},
		{"stopped", fmt.Errorf("read games: %w", context.Canceled), 1, "trenchcut: stopped\n"},
		{"call", usageError{errors.New("no such flag")}, 2, "trenchcut: no such flag\nsee find --help\n"},
		{"term", query.Errors{{Term: "set=", Offset: 4, What: "no value"}}, 2, "trenchcut: no value\n      set=\n          ^\n"},
		{"faults", tags.Faults{fault}, 3, "no-such-file:3:9: unknown move\n1 fault in 1 file\n"},
		{"wrapped faults", fmt.Errorf("load: %w", tags.Faults{fault}), 3, "no-such-file:3:9: unknown move\n1 fault in 1 file\n"},
		{"reported", reportedError{tags.Faults{fault}}, 3, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := exitCode(test.err); got != test.code {
				t.Errorf("exit code %d, want %d", got, test.code)
			}
			var out bytes.Buffer
			printError(&out, &cobra.Command{Use: "find"}, test.err)
			if got := out.String(); got != test.says {
				t.Errorf("says %q, want %q", got, test.says)
			}
		})
	}
}

// README lists the exit codes as help does.
func TestReadmeExitCodes(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	table := "| code | meaning |\n|---|---|\n"
	for code, means := range exitCodes {
		table += fmt.Sprintf("| %d | %s |\n", code, means)
	}
	if !bytes.Contains(readme, []byte(table)) {
		t.Errorf("README does not hold this table:\n%s", table)
	}
}
