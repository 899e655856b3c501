package main

import (
	"bytes"
	"strings"
	"testing"

	"trenchcut/cmd/internal/terminal"
)

// Help must be readable on the narrowest terminal.
func TestHelpFits(t *testing.T) {
	for _, command := range newRootCommand(streams{}).Commands() {
		var out bytes.Buffer
		if code := run([]string{command.Name(), "--help"}, streams{Out: &out, Err: &out}); code != exitDone {
			t.Errorf("%s --help: exit code %d", command.Name(), code)
		}
		for line := range strings.SplitSeq(out.String(), "\n") {
			if terminal.Cells(line) > terminal.PageWidth {
				t.Errorf("%s --help: %d wide: %q", command.Name(), terminal.Cells(line), line)
			}
		}
	}
}
