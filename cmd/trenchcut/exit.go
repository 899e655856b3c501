package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/share"
	"trenchcut/tags"
	"trenchcut/tags/files"
	"trenchcut/tags/query"
)

// The exit codes, which scripts rely on.
const (
	exitDone = iota
	exitFailed
	exitUsage
	exitFaults
)

// exitCodes is what each exit code means, for help, manual and README.
var exitCodes = [...]string{
	exitDone:   "done",
	exitFailed: "the work failed or was stopped",
	exitUsage:  "bad command",
	exitFaults: "the tag files or the film have faults, or a folder tells of another player",
}

// exitCodesText is the exit codes as help lists them.
func exitCodesText() string {
	var b strings.Builder
	for code, means := range exitCodes {
		fmt.Fprintf(&b, "  %d  %s\n", code, means)
	}
	return b.String()
}

// usageError says that a command was called wrong, in a way that its help puts right.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func wrongCall(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// calledWrong is err as a usageError; nil stays nil.
func calledWrong(err error) error {
	if err == nil {
		return nil
	}
	return usageError{err}
}

// reportedError is an error its command has printed already, in a form of its own.
type reportedError struct{ error }

func (e reportedError) Unwrap() error { return e.error }

// exitCode is the one place where an error becomes an exit code.
func exitCode(err error) int {
	var usage usageError
	var request *tags.RequestError
	var terms query.Errors
	var faults tags.Faults
	var exists *files.ExistsError
	var leaks *share.LeaksError
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled):
		return exitFailed
	case errors.As(err, &usage), errors.As(err, &request), errors.As(err, &terms), errors.Is(err, query.ErrCostly), errors.As(err, &exists):
		return exitUsage
	case errors.As(err, &faults), errors.As(err, &leaks):
		return exitFaults
	default:
		return exitFailed
	}
}

// adviceOn is what to do about an error, where there is something.
func adviceOn(err error) string {
	var full *render.FullError
	if !errors.As(err, &full) {
		return ""
	}
	if store, err := session.Segments(); err == nil && store.Root == full.Folder {
		return "Free some, as by \"trenchcut cache prune --max 5GB\", or set " + session.CacheVariable + " to a folder with more.\n" +
			"What was cut stays and is not cut again."
	}
	return "Free some there, or name a folder with more after --output. What was cut is not cut again."
}
