package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
	"trenchcut/tags/files"
)

type outlineOptions struct {
	streams
	season   seasonOptions // for the staff's vocabulary
	out      string
	sheet    string
	columns  string
	contact  string
	floor    string
	pins     []string
	leaveOut []string
	dryRun   bool
	force    bool

	machine *session.Machine
}

func newOutlineCommand(s streams) *cobra.Command {
	o := &outlineOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "outline [ANGLE=]FILM… -o GAME.game.yaml",
		Short: "Find the plays in untagged film and write them as a tag file",
		Long: `Outline looks through film that nobody has tagged, finds where each play begins
and ends, guesses the snap from what moves, and writes a tag file of plays. With
--sheet it lays a play sheet over the shots in order, leaves out scoreboards and
crowds, and says where it is not sure.

FILM is a file with the plays one after another, or a folder with a file for
each play and angle. ANGLE is a name of yours, such as endzone; without it the
name of the file or folder must tell. Film that shows each play from two angles
by turns is sideline,endzone=FILM. A film in several files is named several
times. Clips are paired by the number in their names where all have one, else by
their order.

A contact sheet, a picture of every shot with its number, is written beside the
tag file. Where it shows a play under the wrong number, --pin and --leave-out
say so to the next run. Guessed snaps are marked: find --plays guess=snap lists
them, and whoever confirms one takes the mark out.

Where the tag file is there, with plays but no film, the film is added to it.
One that outline wrote and nobody has changed is replaced, any other left alone.`,
		Example: `  trenchcut outline endzone=ez.mp4 sideline=sl.mp4 -o wk3-mesa.game.yaml
  trenchcut outline sideline,endzone=game.mp4 --sheet plays.csv -o wk3.game.yaml
  trenchcut outline endzone=clips/ez sideline=clips/sl -o wk3.game.yaml
  trenchcut outline ez.mp4 --sheet plays.csv --pin 23=31,24=none -o w3.game.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{fmt.Errorf("%s takes the film to look through", cmd.CommandPath()), cmd.CommandPath()}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return o.run(cmd.Context(), args) },
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "output", "o", "", "tag `file` to write")
	f.StringVar(&o.sheet, "sheet", "", "play sheet `file`, CSV or XLSX, whose plays the shots are")
	f.StringVar(&o.columns, "columns", "", "column mapping `file` for the sheet, as of import")
	f.StringVar(&o.contact, "contact", "", "contact sheet `file` (default: the tag file's name, as .outline.png)")
	f.StringVar(&o.floor, "floor", "2.5s", "a shot shorter than this `time` is no play")
	f.StringSliceVar(&o.pins, "pin", nil, "what `play=shot` goes together, such as 23=31; 23=none is not on film")
	f.StringSliceVar(&o.leaveOut, "leave-out", nil, "`shots` that show no play, by number")
	f.BoolVar(&o.dryRun, "dry-run", false, "list what was found and write nothing")
	f.BoolVar(&o.force, "force", false, "replace a contact sheet that outline did not write")
	f.StringSliceVar(&o.season.request.Staff.Vocabulary, "vocabulary", nil,
		"the staff's own words, as `files` (default: every *.vocabulary.yaml beside the tag file)")
	return cmd
}

// orders is what the user says beyond which film.
type orders struct {
	floor tags.Time
	pins  map[int]int // shot by play; notFilmed for a play that no film shows
	out   map[int]bool
}

const notFilmed = 0

func (o *outlineOptions) run(ctx context.Context, args []string) error {
	said, errs := o.orders()
	if o.contact == "" {
		o.contact = strings.TrimSuffix(o.out, tags.Suffix) + ".outline.png"
	}
	if err := o.contactPolicy().Check(o.contact); err != nil && !o.dryRun {
		errs = append(errs, err)
	}
	reels, wrong := filmArguments(args)
	if errs = append(errs, wrong...); len(errs) > 0 {
		return usageError{errors.Join(errs...), "trenchcut outline"}
	}
	base, faults, err := o.base()
	if err != nil {
		return err
	}
	if o.machine, err = session.OpenMachine(); err != nil {
		return err
	}
	missing, err := o.probe(ctx, reels)
	if err != nil {
		return err
	}
	if faults = append(faults, missing...); faults.Err() != nil {
		return o.refused(faults)
	}
	shots, faults, err := o.look(ctx, reels, said)
	if err != nil {
		return err
	}
	if faults.Err() != nil {
		return o.refused(faults)
	}
	if err := said.check(shots, base); err != nil {
		return usageError{err, "trenchcut outline"}
	}
	takes := takesOf(reels, shots)
	found := pairUp(base, takes, said)
	if len(found.plays) == 0 {
		return fmt.Errorf("no play found: %s", reasons(shots))
	}
	data, err := found.write(o.out, base)
	if err != nil {
		return err
	}
	if err := found.print(o.Out, shots); err != nil {
		return err
	}
	if o.dryRun {
		return o.summary(found, shots, "")
	}
	picture, err := o.contactSheet(ctx, found, shots)
	if err != nil {
		return err
	}
	if err := files.Update(o.out, base.old, data); err != nil {
		return err
	}
	if err := o.contactPolicy().Write(o.contact, picture); err != nil {
		return fmt.Errorf("write the contact sheet: %w", err)
	}
	return o.summary(found, shots, o.contact)
}

func (o *outlineOptions) contactPolicy() files.Policy {
	return files.Policy{Force: o.force, Ours: page.IsFile}
}

// orders reads the flags that say what to do; all that is wrong with them at once.
func (o *outlineOptions) orders() (said orders, errs []error) {
	said = orders{pins: map[int]int{}, out: map[int]bool{}}
	fail := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	switch {
	case o.out == "":
		fail("-o says which tag file to write")
	case !strings.HasSuffix(o.out, tags.Suffix):
		fail("-o %s: a tag file's name ends in %s", o.out, tags.Suffix)
	default:
		// Found out now, not when the film has been looked through.
		if info, err := os.Stat(filepath.Dir(o.out)); err != nil || !info.IsDir() {
			fail("-o %s: there is no such folder", o.out)
		}
	}
	if at, err := tags.ParseInstant(o.floor); err != nil || at.NeedsRate() || at.From != tags.FromFilm {
		fail("--floor %s: want a length of time such as 2.5s", o.floor)
	} else {
		said.floor = tags.Time(at.N)
	}
	shotOf := map[int]int{}
	for _, pin := range o.pins {
		play, shot, ok := strings.Cut(pin, "=")
		p, errP := strconv.Atoi(play)
		s, errS := strconv.Atoi(shot)
		if shot == "none" {
			s, errS = notFilmed, nil
		} else if s == notFilmed {
			ok = false
		}
		before, twice := said.pins[p]
		other, also := shotOf[s]
		switch {
		case !ok || errP != nil || errS != nil:
			fail("--pin %s: want play=shot, such as 23=31, or 23=none for a play that was not filmed", pin)
			continue
		case twice && before != s:
			fail("--pin %s: play %d is pinned to shot %d too", pin, p, before)
		case also && other != p && s != notFilmed:
			fail("--pin %s: shot %d is pinned to play %d too", pin, s, other)
		}
		said.pins[p], shotOf[s] = s, p
	}
	for _, text := range o.leaveOut {
		n, err := strconv.Atoi(text)
		if err != nil {
			fail("--leave-out %s: want the numbers of shots, such as 7,12", text)
			continue
		}
		if p, pinned := shotOf[n]; pinned {
			fail("--leave-out %d: shot %d is pinned to play %d", n, n, p)
		}
		said.out[n] = true
	}
	if o.columns != "" && o.sheet == "" {
		fail("--columns goes with --sheet")
	}
	if o.contact != "" && !strings.EqualFold(filepath.Ext(o.contact), ".png") {
		fail("--contact %s: a contact sheet is .png", o.contact)
	}
	return said, errs
}

// check holds orders to what there is.
func (said orders) check(shots []*shot, base *base) error {
	var errs []error
	ids := map[int]bool{}
	for _, s := range shots {
		ids[s.id] = true
	}
	for n := range said.out {
		if !ids[n] {
			errs = append(errs, fmt.Errorf("--leave-out %d: there are shots 1 to %d", n, len(shots)))
		}
	}
	for p, n := range said.pins {
		if !ids[n] && n != notFilmed {
			errs = append(errs, fmt.Errorf("--pin %d=%d: there are shots 1 to %d", p, n, len(shots)))
		}
		switch {
		case base.game == nil:
			errs = append(errs, fmt.Errorf("--pin of play %d: without a sheet plays have the numbers of their order", p))
		case !slices.ContainsFunc(base.game.Plays, func(q *tags.Play) bool { return q.Number == p }):
			errs = append(errs, fmt.Errorf("--pin of play %d: the sheet has no such play", p))
		}
	}
	slices.SortFunc(errs, func(a, b error) int { return strings.Compare(a.Error(), b.Error()) })
	return errors.Join(errs...)
}

// probe finds out what each film is; a film that is none is a fault.
func (o *outlineOptions) probe(ctx context.Context, reels []*reelFilm) (tags.Faults, error) {
	var mu sync.Mutex
	var faults tags.Faults
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(8)
	for _, r := range reels {
		for _, file := range r.files {
			group.Go(func() error {
				_, err := o.machine.Library.Source(ctx, file)
				mu.Lock()
				defer mu.Unlock()
				switch {
				case ctx.Err() != nil:
					return context.Cause(ctx)
				case errors.Is(err, os.ErrNotExist):
					faults.Add(tags.Pos{File: file}, "no film there")
				case err != nil:
					faults.Add(tags.Pos{File: file}, "the film cannot be read: %v", err)
				}
				return nil
			})
		}
	}
	err := group.Wait()
	faults.Sort()
	return faults, err
}

// looking is the stage of looking through film.
const looking render.Stage = "looking"

// look looks through all film. A film that is damaged is a fault.
func (o *outlineOptions) look(ctx context.Context, reels []*reelFilm, said orders) ([]*shot, tags.Faults, error) {
	var total, done tags.Frame
	for _, r := range reels {
		for _, file := range r.files {
			src, err := o.machine.Library.Source(ctx, file)
			if err != nil {
				return nil, nil, err
			}
			total += src.Frames
		}
	}
	bars := &bars{streams: o.streams}
	defer bars.done()
	var mu sync.Mutex
	tell := func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		done += more
		bars.show(render.Event{Stage: looking, Done: done, Total: total})
	}
	var shots []*shot
	var faults tags.Faults
	for _, r := range reels {
		glances, damaged, err := o.glances(ctx, r, tell)
		if err != nil {
			return nil, nil, err
		}
		faults = append(faults, damaged...)
		if len(damaged) > 0 {
			continue
		}
		for i, found := range film.ShotsOf(glances, r.clips, said.floor) {
			for _, f := range found {
				shots = append(shots, &shot{
					Shot: f, id: len(shots) + 1, reel: r, file: r.files[i], source: glances[i].Source,
					number: r.number(i), angle: r.angle(i),
				})
			}
		}
	}
	faults = append(faults, twice(shots)...)
	pinned := map[int]bool{}
	for _, n := range said.pins {
		pinned[n] = true
	}
	for _, s := range shots {
		switch {
		case said.out[s.id]:
			s.Off = leftOut
		case pinned[s.id]:
			s.Off = ""
		}
	}
	return shots, faults, nil
}

// reasons is why no shot shows a play: "2 shots too short, 1 shot little field".
func reasons(shots []*shot) string {
	counts := map[string]int{}
	for _, s := range shots {
		counts[s.why()]++
	}
	var said []string
	for _, why := range slices.Sorted(maps.Keys(counts)) {
		said = append(said, plural(counts[why], "shot")+" "+why)
	}
	return strings.Join(said, ", ")
}

// twice is clips whose names say that they show what another shows.
func twice(shots []*shot) tags.Faults {
	var faults tags.Faults
	type place struct {
		angle string
		play  int
	}
	first := map[place]*shot{}
	for _, s := range shots {
		if s.number == 0 {
			continue
		}
		at := place{s.angle, s.number}
		if other := first[at]; other != nil {
			faults.Add(tags.Pos{File: s.file}, "it is play %d from %s, and so is %s", s.number, s.angle, other.file)
			continue
		}
		first[at] = s
	}
	return faults
}

// leftOut is a shot that the user said shows no play.
const leftOut film.Off = "as you say"

// glances looks at each file of r. A film of some length is looked at in parts side by
// side, clips one beside another.
func (o *outlineOptions) glances(ctx context.Context, r *reelFilm, tell func(tags.Frame)) ([]*film.Glance, tags.Faults, error) {
	glances := make([]*film.Glance, len(r.files))
	errs := make([]error, len(r.files))
	var group errgroup.Group
	workers, each := 1, runtime.NumCPU()
	if r.clips {
		workers, each = each, workers
	}
	group.SetLimit(workers)
	for i, file := range r.files {
		group.Go(func() error {
			glances[i], errs[i] = o.machine.Library.Glance(ctx, file, each, tell)
			return nil
		})
	}
	_ = group.Wait() // each file has its own error
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	var faults tags.Faults
	for i, err := range errs {
		if err != nil {
			faults.Add(tags.Pos{File: r.files[i]}, "the film cannot be looked through: %v", err)
		}
	}
	return glances, faults, nil
}

// refused prints faults as they are: those of sheets and films have no line to show.
func (o *outlineOptions) refused(faults tags.Faults) error {
	for _, f := range faults {
		fmt.Fprintln(o.Err, printable(f.Error()))
	}
	fmt.Fprintln(o.Err, countFaults(faults))
	return reportedError{faults}
}
