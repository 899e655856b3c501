package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/demo"
	"trenchcut/pipeline/ffmpeg"
	"trenchcut/tags"
)

type demoOptions struct {
	streams streams
	dir     string
}

func newDemoCommand(s streams) *cobra.Command {
	o := &demoOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "demo [folder]",
		Short: "Write a demo season to try everything on",
		Long: `Demo writes two invented games, tagged, with film of each from the end zone and
from the sideline: an animated coach's diagram that moves as the tags say. The
folder is demo where none is named. Film that is there already stays.`,
		Example: `  trenchcut demo
  trenchcut find -g demo inside-counter`,
		Args: oneArgument("folder", true),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.dir = "demo"
			if len(args) == 1 {
				o.dir = args[0]
			}
			return o.run(cmd.Context())
		},
	}
	return cmd
}

func (o *demoOptions) run(ctx context.Context) error {
	tool, err := ffmpeg.Find()
	if err != nil {
		return err
	}
	bars := o.streams.bars()
	err = demo.Write(ctx, o.dir, demo.Options{
		Run: func(ctx context.Context, args []string, stdin io.Reader) error {
			return tool.Run(ctx, args, stdin, nil)
		},
		Workers: runtime.NumCPU(),
	}, func(done, total tags.Frame) { bars.Show("drawing", int64(done), int64(total)) })
	bars.Done()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.streams.Out, `The demo season is in %s. Try, among others:
  %[3]s check -g %[1]s
  %[3]s find -g %[1]s inside-counter set=short
  %[3]s stats -g %[1]s --by first-move,set
  %[3]s reel -g %[1]s outcome=sack,strip-sack --order time-to-beat -o %[2]s
`, o.dir, filepath.Join(o.dir, "sacks.mp4"), called())
	return err
}
