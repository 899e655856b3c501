package main

import (
	"fmt"

	"trenchcut/pipeline/outline"
)

// runMove moves film, with its reps, by one play.
func (o *outlineOptions) runMove(args []string) error {
	move, err := outline.ParseMove(o.move)
	switch {
	case len(args) > 0:
		return wrongCall("--move reads no film, got %q", args[0])
	case err != nil:
		return wrongCall("--move %w", err)
	case o.out == "":
		return wrongCall("-o says which tag file")
	}
	vocabulary, err := o.season.vocabularyBeside(o.out)
	if err != nil {
		return err
	}
	move.File = o.out
	moved, err := move.Read(vocabulary)
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
