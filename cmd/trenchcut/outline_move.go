package main

import (
	"errors"
	"fmt"

	"trenchcut/pipeline/outline"
	"trenchcut/tags"
)

// runMove moves film, with its reps, by one play.
func (o *outlineOptions) runMove(args []string) error {
	const help = "trenchcut outline"
	move, err := outline.ParseMove(o.move)
	switch {
	case len(args) > 0:
		return usageError{fmt.Errorf("--move reads no film, got %q", args[0]), help}
	case err != nil:
		return usageError{fmt.Errorf("--move %w", err), help}
	case o.out == "":
		return usageError{errors.New("-o says which tag file"), help}
	}
	vocabulary, err := o.season.vocabularyBeside(o.out)
	if err != nil {
		return err
	}
	move.File = o.out
	moved, err := move.Read(vocabulary)
	var wrong *tags.RequestError
	if errors.As(err, &wrong) {
		return usageError{err, help}
	}
	if err != nil {
		return err
	}
	for _, line := range moved.Lines {
		fmt.Fprintln(o.Out, line)
	}
	if !o.write {
		_, err := fmt.Fprintln(o.Err, "nothing is written: add --write")
		return err
	}
	return moved.Write()
}
