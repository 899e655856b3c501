package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/render"
	"trenchcut/pipeline/session"
	"trenchcut/tags"
)

type syncOptions struct {
	streams
	season seasonOptions
	marks  []string
	nudges []string
	again  bool
	dryRun bool

	session *session.Session
	machine *session.Machine
}

func newSyncCommand(s streams) *cobra.Command {
	o := &syncOptions{streams: s}
	cmd := &cobra.Command{
		Use:   "sync",
		Short: "Put the angles of a game in step, by marks or by sound",
		Long: `Sync finds how the time of each angle runs against the first one's, and writes
it into the tag file.

Of cameras that run on, one file an angle and no times of its own on any play,
it finds the offset, and how their clocks drift apart: from two instants marked
in both, or else from what both heard. Of film cut by plays it finds the snap on
the angle that has none marked: where both heard the play, and one has its snap.
A snap that was guessed is as good as none on the other angles. Where no angle
has its snap marked, or sound is not sure, the snap is guessed from what moves,
to a quarter of a second: "guess: snap" among the extras of a play says so, or
"guess: sideline snap" of one angle alone, until whoever looked at it takes that
out. find --plays --where 'guess.contains("snap")' lists them.

Sound says it only where it is sure: what is not clear, or does not agree from
one part of the film to another, is refused, and the exit code is 1. Instants
marked in both win over sound; name them with --mark, two of them minutes apart,
or as snaps of plays that have times on both angles.

Sound needs 2.9 ms for a metre, so a camera that stands 50 m farther from the
ball hears it four frames late and is set as much too late; --nudge moves it.`,
		Example: `  trenchcut sync -g wk1.game.yaml --dry-run
  trenchcut sync -g wk1.game.yaml
  trenchcut sync -g wk1.game.yaml --nudge sideline=-4
  trenchcut sync -g wk1.game.yaml --mark endzone=8:05.0,sideline=12:34.1 \
    --mark endzone=1:31:20.3,sideline=1:35:49.6`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error { return o.run(cmd.Context()) },
	}
	o.season.addFlags(cmd)
	f := cmd.Flags()
	f.StringArrayVar(&o.marks, "mark", nil, "one instant on several angles, as `angle=time,angle=time`; may be given again")
	f.StringSliceVar(&o.nudges, "nudge", nil, "move an angle by `angle=frames`, - for earlier in its film; an offset that is written too")
	f.BoolVar(&o.again, "again", false, "find offsets that are written anew")
	f.BoolVar(&o.dryRun, "dry-run", false, "show what would be written and write nothing")
	return cmd
}

func (o *syncOptions) run(ctx context.Context) error {
	var err error
	if o.session, err = o.season.load(ctx, session.FilmOfGames); err != nil {
		return err
	}
	if err := o.session.Faults.Err(); err != nil {
		return err
	}
	if o.machine, err = o.session.Machine(); err != nil {
		return err
	}
	season := o.session.Season
	// What is edited is what was read: a change that somebody makes from now on is noticed.
	files := make([][]byte, len(season.Games))
	for i, g := range season.Games {
		if files[i], err = os.ReadFile(g.Pos.File); err != nil {
			return fmt.Errorf("read the tag file: %w", err)
		}
	}
	orders, err := o.orders(season)
	if err != nil {
		return usageError{err, "trenchcut sync"}
	}
	var jobs []*syncJob
	for _, g := range season.Games {
		jobs = append(jobs, o.jobs(g, orders)...)
	}
	if err := o.find(ctx, jobs); err != nil {
		return err
	}
	var failed []error
	refused, byEar := 0, false
	for i, g := range season.Games {
		own := slices.DeleteFunc(slices.Clone(jobs), func(j *syncJob) bool { return j.game != g })
		for _, j := range own {
			if j.err != nil {
				refused++
			}
			byEar = byEar || j.err == nil && j.byEar
		}
		if err := o.print(g, own); err != nil {
			return err
		}
		if err := o.write(season.Vocabulary, g, files[i], own); err != nil {
			failed = append(failed, err)
		}
	}
	if byEar {
		if err := printWrapped(o.Err, pageWidth, farHears); err != nil {
			return err
		}
	}
	for _, angle := range orders.unused(jobs) {
		failed = append(failed, fmt.Errorf("--nudge: nothing of the angle %s was moved: its snaps are marked, or guesses by what moves", angle))
	}
	if refused > 0 {
		failed = append(failed, fmt.Errorf("%d of %d could not be put in step: the tag file says no more of it than before", refused, len(jobs)))
	}
	return errors.Join(failed...)
}

// farHears is what anyone must know who puts film in step by sound: at 20 °C it travels
// 343 m a second (ISO 9613-1 takes 343.2).
const farHears = `Sound needs 2.9 ms for a metre: a camera that stands 50 m farther from the ball is
set four frames too late. Look at a snap on both; --nudge ANGLE=-4 moves one four frames
earlier, and instants marked in both win over sound.`

// print prints what was found of one game.
func (o *syncOptions) print(g *tags.Game, jobs []*syncJob) error {
	rows := [][]string{{strings.Join(strings.Fields(g.ID+" "+g.Date+" "+g.Opponent), " ")}}
	switch len(g.Films) {
	case 0:
		rows = append(rows, []string{"", "", "", "", "the game names no film"})
	case 1:
		rows = append(rows, []string{g.Films[0].Angle, "", "", "", "the only angle: there is none to be put in step"})
	default:
		rows = append(rows, []string{g.Films[0].Angle, "", "", "", "the first angle: the others are put in step with it"})
	}
	for i, f := range g.Films {
		for _, j := range jobs {
			if j.angle.Angle == f.Angle {
				rows = append(rows, j.row())
			}
		}
		if said := standing(g, f); said != "" && i > 0 {
			rows = append(rows, []string{f.Angle, "", "", "", said})
		}
	}
	return printTable(o.Out, outWidth(o.Out), []column{
		{title: "angle"},
		{title: "play", right: true},
		{title: "set to"},
		{title: "clear", right: true},
		{title: "how it was found", least: 24, fold: true},
	}, rows)
}

// hearing is the stage of work that takes long.
const hearing render.Stage = "listening"

// teller draws a bar for frames that are done, told from several goroutines.
func (o *syncOptions) teller(total tags.Frame) (tell func(tags.Frame), done func()) {
	bars := &bars{streams: o.streams}
	var mu sync.Mutex
	heard := tags.Frame(0)
	return func(more tags.Frame) {
		mu.Lock()
		defer mu.Unlock()
		heard = min(heard+more, total)
		bars.show(render.Event{Stage: hearing, Done: heard, Total: total})
	}, bars.done
}

// syncOrders is what the user says of angles.
type syncOrders struct {
	marks  []map[string]tags.Time // by angle
	nudges map[string]tags.Frame
}

// unused is the angles that were to be moved and were not.
func (s syncOrders) unused(jobs []*syncJob) []string {
	var list []string
	for angle := range s.nudges {
		if !slices.ContainsFunc(jobs, func(j *syncJob) bool { return j.moved == angle || j.err != nil && j.angle.Angle == angle }) {
			list = append(list, angle)
		}
	}
	slices.Sort(list)
	return list
}

// orders reads --mark and --nudge, which speak of the angles of one game.
func (o *syncOptions) orders(season *tags.Season) (syncOrders, error) {
	said := syncOrders{nudges: map[string]tags.Frame{}}
	if len(o.marks)+len(o.nudges) == 0 {
		return said, nil
	}
	if len(season.Games) != 1 {
		return said, fmt.Errorf("--mark and --nudge speak of one game, but there are %d: -g names it", len(season.Games))
	}
	g := season.Games[0]
	var known []string
	for _, f := range g.Films {
		known = append(known, f.Angle)
	}
	var errs []error
	for _, text := range o.nudges {
		angle, value, ok := strings.Cut(text, "=")
		n, err := strconv.Atoi(value)
		_, found := g.Film(angle)
		switch {
		case !ok || err != nil || n == 0 || max(n, -n) > mostNudge:
			errs = append(errs, fmt.Errorf("--nudge: %q: want an angle, = and how many frames, at most %d either way", text, mostNudge))
		case !found:
			errs = append(errs, fmt.Errorf("--nudge: the game has no angle %q; %s", angle, tags.DidYouMean(angle, known)))
		case angle == known[0]:
			errs = append(errs, fmt.Errorf("--nudge: %s is the first angle, which the others are put in step with", angle))
		default:
			said.nudges[angle] = tags.Frame(n)
		}
	}
	for _, text := range o.marks {
		mark := map[string]tags.Time{}
		for _, part := range strings.Split(text, ",") {
			angle, value, ok := strings.Cut(part, "=")
			f, found := g.Film(angle)
			var err error
			switch {
			case !ok:
				err = fmt.Errorf("%q: want an angle, = and a time", part)
			case !found:
				err = fmt.Errorf("the game has no angle %q; %s", angle, tags.DidYouMean(angle, known))
			case f.File == "":
				err = fmt.Errorf("each play has its own file for angle %s, which has no time of its own", angle)
			default:
				mark[angle], err = instantOn(o.session.Films[f.File], value)
			}
			if err != nil {
				errs = append(errs, fmt.Errorf("--mark: %w", err))
			}
		}
		if len(mark) < 2 && len(errs) == 0 {
			errs = append(errs, fmt.Errorf("--mark: %q: want the instant on two angles or more", text))
		}
		said.marks = append(said.marks, mark)
	}
	return said, errors.Join(errs...)
}

// mostNudge bounds a nudge: sound that comes by so many frames late comes from elsewhere.
const mostNudge = 99

// instantOn reads a time on a film.
func instantOn(src plan.Source, text string) (tags.Time, error) {
	at, err := tags.ParseInstant(text)
	if err != nil {
		return 0, err
	}
	if at.From == tags.FromSnap {
		return 0, fmt.Errorf("%q counts from the snap: want a time on the film, with no + or -", text)
	}
	t, err := at.Resolve(src.Clock())
	if n := src.Clock().FrameAt(t); err == nil && (n < 0 || n >= src.Frames) {
		return 0, fmt.Errorf("%s is past the end of the film, which is %s long", text, src.Clock().At(src.Frames))
	}
	return t, err
}
