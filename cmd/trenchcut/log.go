package main

import (
	"errors"
	"fmt"
	"log/slog"

	"github.com/spf13/pflag"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

// logOptions says what is told of the decisions on the way, and where.
type logOptions struct {
	verbose bool
	file    string

	*slog.Logger
}

func (o *logOptions) addFlags(f *pflag.FlagSet) {
	f.BoolVarP(&o.verbose, "verbose", "v", false, "say what is decided on the way, a line each")
	f.StringVar(&o.file, "log-json", "", "add what is decided on the way to a `file`, as JSON Lines")
}

// open starts the log; stop ends it with what came of the work.
func (o *logOptions) open(s streams) (stop func(error) error, err error) {
	least := slog.LevelWarn
	if o.verbose {
		least = slog.LevelInfo
	}
	told := terminal.NewLog(s.Err, least)
	if o.file == "" {
		o.Logger = slog.New(terminal.Once(told))
		return func(err error) error {
			o.byHand(err)
			return err
		}, nil
	}
	f, err := terminal.OpenLog(o.file)
	if err != nil {
		return nil, tags.WrongRequest(fmt.Errorf("--log-json: %w", err))
	}
	o.Logger = slog.New(terminal.Once(slog.NewMultiHandler(told, slog.NewJSONHandler(f, nil))))
	return func(err error) error {
		o.failed(err)
		return errors.Join(err, f.Close())
	}, nil
}

// failed tells of an error.
func (o *logOptions) failed(err error) {
	if err == nil {
		return
	}
	args := []any{"error", err.Error()}
	var run *ffmpeg.Error
	if errors.As(err, &run) {
		args = append(args, "said", run.Stderr)
	}
	o.Error("failed", args...)
	o.byHand(err)
}

// byHand tells those who asked for --verbose which command line repeats what failed.
func (o *logOptions) byHand(err error) {
	var run *ffmpeg.Error
	if errors.As(err, &run) && run.ByHand != "" {
		o.Info("to repeat it by hand", "run", run.ByHand)
	}
}
