package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
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
	err := root.ExecuteContext(ctx)
	if err != nil && ctx.Err() != nil {
		err = ctx.Err() // whatever broke, it broke because it was stopped
	}
	printError(s.Err, err)
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

// printError tells the user what went wrong.
func printError(w io.Writer, err error) {
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
		if errors.As(err, &usage) && usage.help != "" {
			fmt.Fprintf(w, "see %s --help\n", usage.help)
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
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return usageError{err, cmd.CommandPath()}
	})
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
	return usageError{errors.New(msg), root.CommandPath()}
}

// noArguments refuses arguments of a command that takes flags only.
func noArguments(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return usageError{fmt.Errorf("%s takes no arguments, got %q", cmd.CommandPath(), args[0]), cmd.CommandPath()}
}

// exclusive refuses two of the flags at once, as a call that was wrong.
func exclusive(cmd *cobra.Command, names ...string) {
	before := cmd.PreRunE
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error {
		given := slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !cmd.Flags().Changed(name) })
		if len(given) > 1 {
			return usageError{fmt.Errorf("--%s and --%s do not go together: want one of them", given[0], given[1]), cmd.CommandPath()}
		}
		if before != nil {
			return before(cmd, args)
		}
		return nil
	}
}
