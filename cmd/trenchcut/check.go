package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"runtime"
	"slices"
	"sync"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/film"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
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
		Long: `Check reads every tag file and the staff's own vocabulary and reads, looks at
the film, and lists all that is wrong at once, each fault with its file, line
and column. Where anything is, it exits with 3. Film that is recorded in some
odd way is named with what is done about it. Where no play says its type, down,
distance, quarter or clock, or one play does not follow from another, a warning
names both.

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
	for _, other := range []string{"share", "json", "rehash", "decode"} {
		exclusive(cmd, "words", other)
	}
	exclusive(cmd, "share", "json", "rehash")
	exclusive(cmd, "share", "decode")
	exclusive(cmd, "json", "decode")
	return cmd
}

func (o *checkOptions) run(ctx context.Context) error {
	switch {
	case o.write && !o.words:
		return usageError{errors.New("--write goes with --words"), "trenchcut check"}
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
	faults := append(s.Faults, missingLetters(season)...)
	for _, g := range season.Games {
		faults = append(faults, g.CheckFilled()...)
		faults = append(faults, g.CheckOrder()...)
	}
	faults.Sort()
	if o.json {
		if err := printFaultsJSON(o.Out, faults); err != nil {
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
		printFaults(o.Err, faults)
	}
	if o.rehash {
		if machine.NoCache != nil {
			return machine.NoCache // no hash was kept to compare with, and none will be
		}
		if err := rehashFilms(ctx, machine.Library, season); err != nil {
			return err
		}
	}
	if o.decode {
		if err := o.decodePlays(ctx, s); err != nil {
			return err
		}
	}
	if err := o.printNotes(ctx, machine.Library, season); err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Out, "%s: no fault found\n", countSeason(season))
	return err
}

// decoding is the stage of looking for damage.
const decoding render.Stage = "decoding"

// decodePlays decodes every play of the games, and fails where film is damaged.
func (o *checkOptions) decodePlays(ctx context.Context, s *session.Session) error {
	bars := &bars{streams: o.streams}
	defer bars.done()
	var mu sync.Mutex
	var done tags.Frame
	faults, err := s.Damage(ctx, runtime.NumCPU(), func(more, total tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += more
		bars.show(render.Event{Stage: decoding, Done: done, Total: total})
	})
	bars.done()
	if err != nil {
		return err
	}
	if err := faults.Err(); err != nil || len(faults) == 0 {
		return err
	}
	printFaults(o.Err, faults)
	return nil
}

// rehashFilms holds every film to its hash, all of them before it fails.
func rehashFilms(ctx context.Context, library *film.Library, season *tags.Season) error {
	var faults tags.Faults
	for _, g := range season.Games {
		for _, f := range g.Files() {
			err := library.Rehash(ctx, f.File)
			if errors.Is(err, film.ErrOther) {
				faults.Add(f.Pos, "film %s: %v; trenchcut cache prune --max 0 forgets what was cut from it", f.File, err)
			} else if err != nil {
				return err
			}
		}
	}
	return faults.Err()
}

// missingLetters warns of what a label would say with letters that the font lacks.
func missingLetters(season *tags.Season) tags.Faults {
	var faults tags.Faults
	look := func(pos tags.Pos, text string) {
		if missing := draw.Missing(text); len(missing) > 0 {
			faults.Warn(pos, "a label cannot show %q: the font has no such letter", string(missing))
		}
	}
	for _, g := range season.Games {
		look(g.Pos, g.Us+g.Opponent)
		for _, id := range slices.Sorted(maps.Keys(g.People)) {
			look(g.People[id].Pos, g.People[id].Name)
		}
		for _, p := range g.Plays {
			look(p.Pos, p.Call)
			for _, r := range p.Reps {
				look(r.Pos, r.Point)
			}
		}
	}
	return faults
}

// printNotes prints what is odd about each film and what is done about it.
func (o *checkOptions) printNotes(ctx context.Context, library *film.Library, season *tags.Season) error {
	for _, g := range season.Games {
		for _, f := range g.Files() {
			notes, err := library.Notes(ctx, f.File)
			if err != nil {
				return err
			}
			for _, note := range notes {
				if err := printWrapped(o.Out, outWidth(o.Out), fmt.Sprintf("%s: %s", files.Base(f.File), note)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// countSeason is "2 games, 36 plays, 52 reps, 4 films, 1 second opinion".
func countSeason(season *tags.Season) string {
	films := map[string]bool{}
	for _, g := range season.Games {
		for _, f := range g.Files() {
			films[f.File] = true
		}
	}
	counted := fmt.Sprintf("%s, %s, %s, %s",
		tags.Count(len(season.Games), "game"), tags.Count(len(season.Plays()), "play"),
		tags.Count(len(season.Reps()), "rep"), tags.Count(len(films), "film"))
	if n := len(season.Second); n > 0 {
		counted += ", " + tags.Count(n, "second opinion")
	}
	return counted
}

// faultJSON is a fault as check --json prints it; line 0 is the file as a whole.
type faultJSON struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	What    string `json:"what"`
	Hint    string `json:"hint"`
	Warning bool   `json:"warning"`
}

func printFaultsJSON(w io.Writer, faults tags.Faults) error {
	list := make([]faultJSON, len(faults))
	for i, f := range faults {
		list[i] = faultJSON{f.Pos.File, f.Pos.Line, f.Pos.Column, f.What, f.Hint, f.Warning}
	}
	return printJSON(w, list)
}

// printJSON prints v indented, so that a person can read it too.
func printJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
