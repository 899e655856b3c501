package exchange

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/files"
)

// ErrNoShot says that no play of the choice is on the angle asked for.
var ErrNoShot = errors.New("no play is on the angle")

// Shot is one play on one angle, in frames of its film.
type Shot struct {
	Play *tags.Play
	View tags.View
	Film tags.Extent
	Span tags.Span
}

// Shots is plays on one angle, in order; extents knows each film. Plays that are not on
// the angle are left out.
func Shots(plays []*tags.Play, angle string, extents map[string]tags.Extent) ([]Shot, error) {
	var shots []Shot
	for _, p := range plays {
		if !slices.Contains(p.Angles(), angle) {
			continue
		}
		v, err := p.View(angle)
		if err != nil {
			return nil, err
		}
		film, ok := extents[v.File]
		if !ok || !film.Clock.Rate.Known() {
			return nil, fmt.Errorf("play %s: nothing is known of film %s", p.Name(), files.Named(v.File))
		}
		span := tags.Span{In: film.Clock.FrameAt(v.In), Out: film.Clock.FrameAt(v.Out)}
		if v.ToEnd {
			span.Out = film.Frames
		}
		if span.In < 0 || span.Out > film.Frames || span.Len() <= 0 {
			return nil, fmt.Errorf("play %s: its in and out are not on film %s", p.Name(), files.Named(v.File))
		}
		shots = append(shots, Shot{p, v, film, span})
	}
	if len(shots) == 0 {
		return nil, fmt.Errorf("%w %q", ErrNoShot, angle)
	}
	return shots, nil
}

// writeChapters writes a WebVTT file with a chapter for each play, by the times of the one
// film that all shots are on. Chapters that overlap are cut where the next begins.
func writeChapters(w io.Writer, shots []Shot) error {
	shots = slices.Clone(shots)
	slices.SortStableFunc(shots, func(a, b Shot) int { return int(a.Span.In - b.Span.In) })
	var out strings.Builder
	out.WriteString("WEBVTT\n")
	for i, s := range shots {
		if s.View.File != shots[0].View.File {
			return fmt.Errorf("%w, and these plays are on %s and %s: choose fewer, by game= or -g", ErrNotOneFilm, files.Named(shots[0].View.File), files.Named(s.View.File))
		}
		end := s.Span.Out
		if i+1 < len(shots) && shots[i+1].Span.In > s.Span.In {
			end = min(end, shots[i+1].Span.In)
		}
		fmt.Fprintf(&out, "\n%s\n%s --> %s\n%s\n", CueText(s.Play.Name()),
			CueTime(s.Film.Clock.At(s.Span.In)), CueTime(s.Film.Clock.At(end)), CueText(title(s.Play)))
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// CueTime is a time as WebVTT writes it, HH:MM:SS.mmm.
func CueTime(t tags.Time) string {
	text := t.String()
	if strings.IndexByte(text, ':') < 2 {
		return "0" + text
	}
	return text
}

// CueText is text of one line with no mark-up in it.
func CueText(text string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\n", " ", "\r", " ").Replace(text)
}

// title is a play as a chapter names it: Play 14: Q1 11:32, 3 & 8, dropback.
func title(p *tags.Play) string {
	var said []string
	when := p.Clock
	if p.Quarter != nil {
		when = strings.TrimSpace(fmt.Sprintf("Q%d %s", *p.Quarter, p.Clock))
	}
	if when != "" {
		said = append(said, when)
	}
	if p.Down != nil && p.Distance != nil {
		said = append(said, fmt.Sprintf("%d & %d", *p.Down, *p.Distance))
	}
	if p.Type != "" {
		said = append(said, p.Type)
	}
	if len(said) == 0 {
		return fmt.Sprintf("Play %d", p.Number)
	}
	return fmt.Sprintf("Play %d: %s", p.Number, strings.Join(said, ", "))
}
