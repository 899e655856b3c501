package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/pipeline/outline"
	"trenchcut/tags"
)

// runMove moves film, with its reps, by one play.
func (o *outlineOptions) runMove(args []string) error {
	const help = "trenchcut outline"
	play, by, ok := strings.Cut(o.move, "=")
	from, errFrom := strconv.Atoi(play)
	n, errBy := strconv.Atoi(by)
	switch {
	case len(args) > 0:
		return usageError{fmt.Errorf("--move reads no film, got %q", args[0]), help}
	case !ok || errFrom != nil || errBy != nil:
		return usageError{fmt.Errorf("--move %s: want play=+1 or play=-1, such as 15=+1", o.move), help}
	case o.out == "":
		return usageError{errors.New("-o says which tag file"), help}
	}
	vocabulary, err := o.season.vocabularyBeside(o.out)
	if err != nil {
		return err
	}
	moved, err := outline.Move{File: o.out, From: from, By: n}.Read(vocabulary)
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
