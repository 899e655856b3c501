package main

import (
	"context"
	"fmt"
	"runtime"
	"slices"

	"github.com/spf13/cobra"

	"trenchcut/cmd/internal/terminal"
	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

type checkOptions struct {
	streams
	season seasonOptions
	json   bool
	rehash bool
	decode bool
	share  string
	words  bool
	write  bool
}

func newCheckCommand(s streams) *cobra.Command {
	o := &checkOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Find every fault in the tag files and the film they name",
		Long: `Check reads every tag file and the staff's own vocabulary, reads and keys of the
marking page, looks at the film, and lists all that is wrong at once, each fault
with its file, line and column. Where anything is, it exits with 3. Film that is
recorded in some odd way is named with what is done about it. Where no play says
its type, down, distance, quarter or clock, or one play does not follow from
another, a warning names both. So it is where two rushers or two blockers of a
play wear one number, and where a model is the rep itself or was not won.

--words lists texts of plays, such as fronts and calls, and of the staff's own
columns that differ only in case, space, hyphen or, where one is rare, in a
letter: "Odd Mug" and "odd-mug" split a season. --write puts them into the
staff's vocabulary, where the most frequent stands for all.

--share looks through a folder of players' folders, or one player's, and says
what in it tells of another player: his name, id or number, his reps, notes,
points and grades, the film. Reels and pictures that this program made for that
very folder are known by the manifest beside them, byte for byte; all else is
read through, packed files too, or named as not looked through. It exits with 3
where something tells of another, with 1 where nothing does but something could
not be looked through, and with 0 where all was read and nothing tells.`,
		Example: `  trenchcut check
  trenchcut check -g season/wk2.game.yaml
  trenchcut check --json
  trenchcut check --words
  trenchcut check --share players`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	o.season.addFlags(cmd)
	cmd.Flags().BoolVar(&o.json, "json", false, "print the faults as a JSON array")
	cmd.Flags().BoolVar(&o.rehash, "rehash", false, "read the whole of each film, and say where it is not as it was the last time")
	cmd.Flags().BoolVar(&o.decode, "decode", false, "decode every play on every angle, and say where film is damaged")
	cmd.Flags().StringVar(&o.share, "share", "", "look through a `folder` of players' folders for what tells of others")
	cmd.Flags().BoolVar(&o.words, "words", false, "list what the plays' texts and own columns write in several ways, and stop")
	cmd.Flags().BoolVar(&o.write, "write", false, "with --words: put them into the staff's vocabulary, as one and the same")
	exclusive(cmd, "words", "share", "json", "rehash", "decode")
	exclusive(cmd, "share", "json", "rehash", "decode")
	exclusive(cmd, "json", "decode")
	return cmd
}

func (o *checkOptions) run(ctx context.Context) error {
	switch {
	case o.write && !o.words:
		return wrongCall("--write goes with --words")
	case o.words:
		return o.runWords(ctx)
	case o.share != "":
		return o.runShare(ctx)
	}
	s, err := o.season.load(ctx, session.FilmOfAll)
	if err != nil {
		return err
	}
	machine, err := s.Machine()
	if err != nil {
		return err
	}
	season := s.Season
	keys, err := o.season.keyFaults()
	if err != nil {
		return err
	}
	faults := slices.Concat(s.Faults, keys, draw.CheckLetters(season), season.CheckPlays())
	faults.Sort()
	if o.json {
		if err := printJSON(o.Out, append(tags.Faults{}, faults...)); err != nil {
			return err
		}
		if err := faults.Err(); err != nil {
			return reportedError{err}
		}
		return nil
	}
	if err := faults.Err(); err != nil {
		return err
	}
	if len(faults) > 0 {
		terminal.Faults(o.Err, faults)
	}
	if o.rehash {
		if machine.NoCache != nil {
			return machine.NoCache // no hash was kept to compare with, and none will be
		}
		if err := s.Rehash(ctx); err != nil {
			return err
		}
	}
	if o.decode {
		if err := o.decodePlays(ctx, s); err != nil {
			return err
		}
	}
	notes, err := s.FilmNotes(ctx)
	if err != nil {
		return err
	}
	if err := terminal.Paragraphs(o.Out, notes...); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Out, "%s: no fault found\n", season.Counted())
	return err
}

// decodePlays decodes every play of the games, and fails where film is damaged.
func (o *checkOptions) decodePlays(ctx context.Context, s *session.Session) error {
	bars := o.streams.bars()
	faults, err := s.Damage(ctx, runtime.NumCPU(), func(done, total tags.Frame) { bars.Show("decoding", int64(done), int64(total)) })
	bars.Done()
	if err != nil {
		return err
	}
	if err := faults.Err(); err != nil || len(faults) == 0 {
		return err
	}
	terminal.Faults(o.Err, faults)
	return nil
}
