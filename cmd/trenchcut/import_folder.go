package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/render"
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

// runFolder takes a folder in.
func (o *importOptions) runFolder(ctx context.Context) error {
	const help = "trenchcut import"
	if o.request.Columns != "" || o.columns != "" {
		return usageError{errors.New("--columns and --write-columns go with a play sheet, not with a folder"), help}
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
	var wrong *tags.RequestError
	switch {
	case errors.As(err, &wrong):
		return usageError{err, help}
	case errors.As(err, &faults):
		return o.printFaults(faults)
	case err != nil:
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
	bars := &bars{streams: o.streams, unit: "MB"}
	err = taking.Write(ctx, func(done int64) {
		bars.show(render.Event{Stage: "taking in", Done: tags.Frame(done >> 20), Total: tags.Frame(taking.Bytes >> 20)})
	})
	bars.done()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: %s taken in\n", tags.Printable(folder.Into), said)
	return err
}
