package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// folderOptions is what is said of a folder from another staff.
type folderOptions struct {
	team  string
	link  bool
	write bool
}

func (o *folderOptions) addFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.team, "team", "", "`whose` folder it is, where its tag files do not say")
	f.BoolVar(&o.link, "link", false, "link to its film where that can be done, in place of copying")
	f.BoolVar(&o.write, "write", false, "take the folder in")
}

// given is the first flag given that is about folders alone; empty for none.
func (o *folderOptions) given(cmd *cobra.Command) string {
	for _, flag := range []string{"team", "link", "write"} {
		if cmd.Flags().Changed(flag) {
			return flag
		}
	}
	return ""
}

func (o *importOptions) runFolder(ctx context.Context) error {
	if o.request.Columns != "" || o.columns != "" {
		return wrongCall("--columns and --write-columns go with a play sheet, not with a folder")
	}
	from, err := filepath.Abs(o.request.Sheet)
	if err != nil {
		return err
	}
	folder := exchange.Folder{
		From: o.request.Sheet, Into: cmp.Or(o.request.Into, filepath.Base(from)),
		Team: o.folder.team, Link: o.folder.link,
	}
	faults, err := folder.Among(nil, o.season.request.Staff.Vocabulary)
	if err != nil {
		return err
	}
	if faults.Err() != nil {
		return o.printFaults(faults)
	}
	taking, err := folder.Read(ctx)
	if errors.As(err, &faults) {
		return o.printFaults(faults)
	}
	if err != nil {
		return err
	}
	if err := terminal.Lines(o.Out, taking.Lines...); err != nil {
		return err
	}
	if err := taking.Faults.Err(); err != nil { // what is at fault may be a pipe: no line of it is shown
		if err := terminal.FaultsAlone(o.Err, taking.Faults, ": nothing is taken in"); err != nil {
			return err
		}
		return reportedError{taking.Faults}
	}
	said := fmt.Sprintf("%s and %s (%.1f MB)", tags.Count(taking.Games, "game"), tags.Count(taking.Films, "film"), float64(taking.Bytes)/1e6)
	if !o.folder.write || o.dryRun {
		_, err := fmt.Fprintf(o.Err, "%s: would take in %s; --write does it\n", tags.Printable(folder.Into), said)
		return err
	}
	bars := o.streams.bars()
	bars.Unit = "MB"
	err = taking.Write(ctx, func(done int64) {
		bars.Show("taking in", done>>20, taking.Bytes>>20)
	})
	bars.Done()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s taken in\n", tags.Printable(folder.Into), said)
	return err
}
