package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"trenchcut/cmd/internal/help"
	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

// streams is where a command reads and writes: results on Out, everything else on Err.
type streams struct {
	In         io.Reader
	Out        io.Writer
	Err        io.Writer
	IsTerminal bool // Err is a terminal, so that progress may be drawn there
}

func systemStreams() streams {
	return streams{os.Stdin, terminal.Guard(os.Stdout), terminal.Guard(os.Stderr), term.IsTerminal(int(os.Stderr.Fd()))}
}

// bars draws how far the work is.
func (s streams) bars() *terminal.Bars { return terminal.NewBars(s.Err, s.IsTerminal) }

// commands is every command, in the order the help lists them.
var commands = []func(streams) *cobra.Command{
	newCheckCommand,
	newFindCommand,
	newStatsCommand,
	newSchemaCommand,
	newReelCommand,
	newHandoutCommand,
	newWarmCommand,
	newVerifyCommand,
	newOutlineCommand,
	newSyncCommand,
	newMarkCommand,
	newImportCommand,
	newExportCommand,
	newFarmCommand,
	newWorkCommand,
	newDemoCommand,
	newDoctorCommand,
	newCacheCommand,
	newVersionCommand,
	newManualCommand,
}

// run is the program: it carries out one call and returns the exit code.
func run(args []string, s streams) int {
	ctx, stop := signal.NotifyContext(context.Background(), stopSignals()...)
	defer stop()
	context.AfterFunc(ctx, stop) // so that a second Ctrl-C ends what does not heed the first
	s.Err = terminal.NewScreen(s.Err)
	root := newRootCommand(s)
	root.SetArgs(args)
	cmd, err := root.ExecuteContextC(ctx)
	if err != nil && ctx.Err() != nil {
		err = ctx.Err() // whatever broke, it broke because it was stopped
	}
	printError(s.Err, cmd, err)
	return exitCode(err)
}

// stopSignals end the work in good order. A hang-up does not where the shell was told to
// let the work go on without its terminal.
func stopSignals() []os.Signal {
	list := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		list = append(list, syscall.SIGHUP)
	}
	return list
}

// printError tells the user what went wrong with cmd.
func printError(w io.Writer, cmd *cobra.Command, err error) {
	var reported reportedError
	var faults tags.Faults
	var usage usageError
	switch {
	case err == nil || errors.As(err, &reported):
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w, "trenchcut: stopped")
	case errors.As(err, &faults):
		terminal.Faults(w, faults)
	default:
		width := terminal.WidthOf(w)
		fmt.Fprint(w, terminal.Wrap("trenchcut: "+terminal.Indented(terminal.Plainly(err)), width))
		if advice := adviceOn(err); advice != "" {
			fmt.Fprint(w, terminal.Wrap(advice, width))
		}
		if errors.As(err, &usage) {
			fmt.Fprintf(w, "see %s --help\n", cmd.CommandPath())
		}
	}
}

func newRootCommand(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "trenchcut",
		Short: "Ask game film about the pass rush, and cut the answer into a reel",
		Long: `Trenchcut reads tag files (*.game.yaml, one a game), checks them, and answers
questions about the reps in them: as a list, as numbers, or as a reel of film.
With no words it says what the folder holds and what can be done next.

Exit codes:
` + strings.TrimSuffix(exitCodesText(), "\n"),
		Example: `  trenchcut check
  trenchcut find inside-counter set=short
  trenchcut stats rusher=marlow
  trenchcut reel inside-counter set=short -o inside.mp4`,
		Version:                    session.Version(),
		SilenceErrors:              true,
		SilenceUsage:               true,
		SuggestionsMinimumDistance: 2,
		Args:                       knownCommand,
		RunE:                       func(cmd *cobra.Command, _ []string) error { return welcome(cmd.Context(), s) },
	}
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	cobra.MousetrapHelpText = "" // welcome says what to do instead
	help.Set(root)
	root.SetVersionTemplate(versionText())
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	for _, command := range commands {
		root.AddCommand(command(s))
	}
	return root
}

// knownCommand refuses a word that is no command, and names the nearest that is.
func knownCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	msg := fmt.Sprintf("unknown command %q", args[0])
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		msg += fmt.Sprintf("; did you mean %q?", strings.Join(near, `" or "`))
	}
	return usageError{errors.New(msg)}
}

// noArguments refuses arguments of a command that takes flags only.
func noArguments(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return wrongCall("%s takes no arguments, got %q", cmd.CommandPath(), args[0])
}

// oneArgument refuses more and, unless it may be left out, none of what a command takes one of.
func oneArgument(of string, optional bool) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if n := len(args); n > 1 || n == 0 && !optional {
			return wrongCall("%s takes one %s, got %d", cmd.CommandPath(), of, n)
		}
		return nil
	}
}

// exclusive refuses a flag together with any of the others.
func exclusive(cmd *cobra.Command, name string, others ...string) {
	before := cmd.PreRunE
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error {
		for _, other := range others {
			if cmd.Flags().Changed(name) && cmd.Flags().Changed(other) {
				return wrongCall("--%s and --%s do not go together: want one of them", name, other)
			}
		}
		if before != nil {
			return before(cmd, args)
		}
		return nil
	}
}
