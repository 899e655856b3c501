package sync

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// mostNudge bounds a nudge, in frames: sound that comes so many frames late is not from
// the field.
const mostNudge = 99

// Check is everything that is wrong with the request for a season, joined; nil where
// nothing is.
func (r Request) Check(season *tags.Season, films map[string]plan.Source) error {
	_, err := r.resolve(season, films)
	return err
}

// resolve checks the request and returns its marks on the films' own times.
func (r Request) resolve(season *tags.Season, films map[string]plan.Source) ([]map[string]tags.Time, error) {
	if len(r.Marks)+len(r.Nudges) == 0 {
		return nil, nil
	}
	if len(season.Games) != 1 {
		return nil, fmt.Errorf("marks and nudges are of one game, but %d games are named: name one", len(season.Games))
	}
	g := season.Games[0]
	var known []string
	for _, f := range g.Films {
		known = append(known, f.Angle)
	}
	var errs []error
	fail := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	for _, angle := range slices.Sorted(maps.Keys(r.Nudges)) {
		n := r.Nudges[angle]
		switch _, found := g.Film(angle); {
		case !found:
			fail("nudge %s=%d: the game has no angle %q; %s", angle, n, angle, tags.DidYouMean(angle, known))
		case angle == known[0]:
			fail("nudge %s=%d: %s is the first angle, which the others are put in step with", angle, n, angle)
		case n == 0 || max(n, -n) > mostNudge:
			fail("nudge %s=%d: want 1 to %d frames, either way", angle, n, mostNudge)
		}
	}
	var marks []map[string]tags.Time
	for _, m := range r.Marks {
		mark := map[string]tags.Time{}
		for _, angle := range slices.Sorted(maps.Keys(m)) {
			switch f, found := g.Film(angle); {
			case !found:
				fail("mark %s=%s: the game has no angle %q; %s", angle, m[angle], angle, tags.DidYouMean(angle, known))
			case f.File == "":
				fail("mark %s=%s: each play has its own file for angle %s, which has no time of its own", angle, m[angle], angle)
			default:
				var err error
				if mark[angle], err = onFilm(films[f.File], m[angle]); err != nil {
					fail("mark %s=%s: %w", angle, m[angle], err)
				}
			}
		}
		if len(m) < 2 {
			fail("mark %s: want the instant on two angles or more", asWritten(m))
		}
		marks = append(marks, mark)
	}
	return marks, errors.Join(errs...)
}

// asWritten is a mark as one writes it: "endzone=10s".
func asWritten(mark map[string]tags.Instant) string {
	text := ""
	for _, angle := range slices.Sorted(maps.Keys(mark)) {
		if text != "" {
			text += ","
		}
		text += fmt.Sprintf("%s=%s", angle, mark[angle])
	}
	return text
}

// onFilm is an instant on a film's own time.
func onFilm(src plan.Source, at tags.Instant) (tags.Time, error) {
	if at.From == tags.FromSnap {
		return 0, errors.New("it counts from the snap: want a time on the film, with no + or -")
	}
	clock := src.Clock()
	t, err := at.Resolve(clock)
	if err != nil {
		return 0, err
	}
	if n := clock.FrameAt(t); n < 0 || n >= src.Frames {
		return 0, fmt.Errorf("it is not on the film, which ends at %s", clock.At(src.Frames))
	}
	return t, nil
}

// Unused is the angles that the request would nudge and of which nothing was moved: their
// snaps are marked, or guesses from what moves.
func (r Request) Unused(proposals []*Proposal) []string {
	unused := slices.Sorted(maps.Keys(r.Nudges))
	for _, p := range proposals {
		for _, f := range p.Findings {
			unused = slices.DeleteFunc(unused, func(angle string) bool {
				return f.Nudged == angle || f.Err != nil && f.Angle == angle
			})
		}
	}
	return unused
}

// ParseRequest reads marks, each an instant on several angles as angle=time,angle=time, and
// nudges, each angle=frames. The error is everything that is wrong with their form.
func ParseRequest(marks, nudges []string) (Request, error) {
	req := Request{Nudges: map[string]tags.Frame{}}
	var errs []error
	for _, text := range nudges {
		angle, value, ok := strings.Cut(text, "=")
		n, err := strconv.Atoi(value)
		if !ok || err != nil {
			errs = append(errs, fmt.Errorf("nudge %q: want an angle, = and how many frames, at most %d either way", text, mostNudge))
			continue
		}
		req.Nudges[angle] = tags.Frame(n)
	}
	for _, text := range marks {
		mark := map[string]tags.Instant{}
		for part := range strings.SplitSeq(text, ",") {
			angle, value, ok := strings.Cut(part, "=")
			at, err := tags.ParseInstant(value)
			if !ok {
				err = errors.New("want an angle, = and a time")
			}
			if err != nil {
				errs = append(errs, fmt.Errorf("mark %q: %w", part, err))
				continue
			}
			mark[angle] = at
		}
		if len(mark) > 0 {
			req.Marks = append(req.Marks, mark)
		}
	}
	return req, errors.Join(errs...)
}
