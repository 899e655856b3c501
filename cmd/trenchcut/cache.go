package main

import (
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

func newCacheCommand(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "cache",
		Short: "Show or prune what was cut and is kept",
		Long: `Everything in the cache can be made again. What was cut for one reel is kept,
so that another reel, or the same one with a word changed, need not cut it
anew.`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newCacheShowCommand(s), newCachePruneCommand(s))
	return cmd
}

func newCacheShowCommand(s streams) *cobra.Command {
	return &cobra.Command{
		Use:     "show",
		Short:   "Say where the cache is and what it holds",
		Example: "  trenchcut cache show",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			kept, err := session.KeptHere()
			if err != nil {
				return err
			}
			w := tabwriter.NewWriter(s.Out, 0, 0, 2, ' ', 0)
			fmt.Fprintf(w, "folder\t%s\n", kept.Folder)
			fmt.Fprintf(w, "holds\t%s, %s\n", tags.Count(kept.Segments.Segments, "segment"), reel.Size(kept.Segments.Bytes))
			if oldest := kept.Segments.Oldest; !oldest.IsZero() {
				fmt.Fprintf(w, "oldest\tused %s\n", oldest.Format(time.DateTime))
			}
			if kept.Movies > 0 {
				fmt.Fprintf(w, "marking\t%s for the marking page, %s\n", tags.Count(kept.Movies, "movie"), reel.Size(kept.MovieBytes))
			}
			return w.Flush()
		},
	}
}

type cachePruneOptions struct {
	streams
	max string
}

func newCachePruneCommand(s streams) *cobra.Command {
	o := &cachePruneOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "prune",
		Short: "Remove what was not used for longest",
		Long: `Prune removes the segments that were not used for longest until the cache is no
larger than --max. It removes nothing while a reel is being made. The movies
that stand in for film on the marking page get the room that segments leave.`,
		Example: `  trenchcut cache prune --max 20GB
  trenchcut cache prune --max 0`,
		Args: noArguments,
		RunE: func(*cobra.Command, []string) error { return o.run() },
	}
	cmd.Flags().StringVar(&o.max, "max", "20GB", "the most it may hold, as a `size` such as 500MB or 20GB")
	return cmd
}

func (o *cachePruneOptions) run() error {
	most, err := reel.ParseSize(o.max)
	if err != nil {
		return wrongCall("--max: %w", err)
	}
	removed, left, err := session.PruneKept(most)
	if err != nil {
		return err
	}
	if removed.Movies+left.Movies > 0 {
		fmt.Fprintf(o.Out, "removed %s of the marking page, %s; %s, %s left\n",
			tags.Count(removed.Movies, "movie"), reel.Size(removed.MovieBytes), tags.Count(left.Movies, "movie"), reel.Size(left.MovieBytes))
	}
	_, err = fmt.Fprintf(o.Out, "removed %s, %s; %s, %s left\n",
		tags.Count(removed.Segments.Segments, "segment"), reel.Size(removed.Segments.Bytes), tags.Count(left.Segments.Segments, "segment"), reel.Size(left.Segments.Bytes))
	return err
}
