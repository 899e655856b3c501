package main

import (
	"context"
	"fmt"
	"path/filepath"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/reel"
	"trenchcut/pipeline/session"
	"trenchcut/pipeline/viewer"
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
			store, err := session.Segments()
			if err != nil {
				return err
			}
			usage, err := store.Usage()
			if err != nil {
				return err
			}
			w := tabwriter.NewWriter(s.Out, 0, 0, 2, ' ', 0)
			fmt.Fprintf(w, "folder\t%s\n", store.Root)
			fmt.Fprintf(w, "holds\t%s, %s\n", tags.Count(usage.Segments, "segment"), reel.Size(usage.Bytes))
			if !usage.Oldest.IsZero() {
				fmt.Fprintf(w, "oldest\tused %s\n", usage.Oldest.Format(time.DateTime))
			}
			standIns, bytes, err := viewer.StandIns(session.StandIns(filepath.Dir(store.Root)))
			if err != nil {
				return err
			}
			if standIns > 0 {
				fmt.Fprintf(w, "marking\t%s for the marking page, %s\n", tags.Count(standIns, "movie"), reel.Size(bytes))
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
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	cmd.Flags().StringVar(&o.max, "max", "20GB", "the most it may hold, as a `size` such as 500MB or 20GB")
	return cmd
}

func (o *cachePruneOptions) run(_ context.Context) error {
	most, err := reel.ParseSize(o.max)
	if err != nil {
		return usageError{fmt.Errorf("--max: %w", err), "trenchcut cache prune"}
	}
	store, err := session.Segments()
	if err != nil {
		return err
	}
	removed, err := store.Prune(most)
	if err != nil {
		return err
	}
	left, err := store.Usage()
	if err != nil {
		return err
	}
	folder := session.StandIns(filepath.Dir(store.Root))
	before, bytesBefore, err := viewer.StandIns(folder)
	if err != nil {
		return err
	}
	if err := viewer.PruneStandIns(folder, max(most-left.Bytes, 0)); err != nil {
		return err
	}
	after, bytes, err := viewer.StandIns(folder)
	if err != nil {
		return err
	}
	if before > 0 {
		fmt.Fprintf(o.Out, "removed %s of the marking page, %s; %s, %s left\n",
			tags.Count(before-after, "movie"), reel.Size(bytesBefore-bytes), tags.Count(after, "movie"), reel.Size(bytes))
	}
	_, err = fmt.Fprintf(o.Out, "removed %s, %s; %s, %s left\n",
		tags.Count(removed.Segments, "segment"), reel.Size(removed.Bytes), tags.Count(left.Segments, "segment"), reel.Size(left.Bytes))
	return err
}
