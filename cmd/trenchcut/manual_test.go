package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trenchcut/cmd/internal/help"
)

// The manual tells of every command and flag that help tells of, and man reads it without
// complaint and shows what help says.
func TestManual(t *testing.T) {
	root := newRootCommand(streams{})
	page := help.Manual(root)
	if i := strings.IndexFunc(page, func(r rune) bool { return r > 126 || r < ' ' && r != '\n' && r != '\t' }); i >= 0 {
		t.Errorf("the manual holds %q, which not every man reads", page[i:i+4])
	}
	mandb, err := exec.LookPath("man")
	if err != nil {
		t.Skip("the rest needs man, which is not installed")
	}
	file := filepath.Join(t.TempDir(), "trenchcut.1")
	if err := os.WriteFile(file, []byte(page), 0o666); err != nil {
		t.Fatal(err)
	}
	show := exec.Command(mandb, "--warnings", "-l", file)
	show.Env = append(os.Environ(), "MANWIDTH=400", "LC_ALL=C.UTF-8", "MAN_KEEP_FORMATTING=", "MANPAGER=cat")
	var shown, complaints bytes.Buffer
	show.Stdout, show.Stderr = &shown, &complaints
	if err := show.Run(); err != nil || complaints.Len() > 0 {
		t.Fatalf("man: %v\n%s", err, &complaints)
	}
	words := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	all := words(shown.String())
	says := func(cmd *cobra.Command, text string) {
		if !strings.Contains(all, words(text)) {
			t.Errorf("%s: man does not show %q", cmd.CommandPath(), text)
		}
	}
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		for paragraph := range strings.SplitSeq(cmd.Long, "\n\n") {
			says(cmd, paragraph)
		}
		says(cmd, cmd.Example)
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if f.Name == "help" || cmd == root {
				return
			}
			value, usage := pflag.UnquoteUsage(f)
			says(cmd, fmt.Sprintf("--%s %s", f.Name, value))
			says(cmd, usage)
		})
		for _, below := range cmd.Commands() {
			if below.IsAvailableCommand() {
				walk(below)
			}
		}
	}
	walk(root)
}
