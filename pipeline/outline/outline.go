// Package outline finds the plays in film that nobody has tagged: it pairs the shots of
// several cameras, lays a play sheet over them, and writes a tag file of plays with a
// contact sheet to check it by eye.
package outline

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"trenchcut/pipeline/film"
	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// Proposal is what was found: plays in order, with the film of each.
type Proposal struct {
	File   string // the tag file
	Plays  []Play
	Absent []int   // the numbers of plays that no film shows
	Shots  []*Shot // all there are, by ID
	Lost   []Lost
	// Sheet is what was made of the play sheet, without the cells that cannot be read; nil
	// without a sheet.
	Sheet *exchange.Change
	// Again says that the tag file had film already. Changes is then what becomes of it; what the
	// sheet changes is in Sheet.
	Again   bool
	Changes []Change

	old, data []byte // the tag file as it is and as it is to be
}

// Lost is the pictures at the start of a film that cannot be decoded, since the recording
// begins amid a group of pictures. Frames are counted from the first that can.
type Lost struct {
	File   string
	Frames tags.Frame
	End    tags.Time // when frame 0 is shown
}

// Play is a play and the shots that show it.
type Play struct {
	Number int
	Row    *tags.Play // as the sheet or the tag file has it; nil where neither does
	Shots  []*Shot    // each of another angle, at least one

	SureOfPlay   bool    // that the shots show this play
	Wrong        float64 // how probable it is that they show another, 0 to 1
	SureOfAngles bool    // that the shots show one play
}

// Doubt is what is not sure about p, as its tag file says it: "play", "angle", "play,
// angle", or "" where all is sure.
func (p Play) Doubt() string {
	switch {
	case !p.SureOfPlay && !p.SureOfAngles:
		return "play, angle"
	case !p.SureOfPlay:
		return "play"
	case !p.SureOfAngles:
		return "angle"
	default:
		return ""
	}
}

// Snaps reports whether a snap was guessed on one of p's shots.
func (p Play) Snaps() bool {
	return slices.ContainsFunc(p.Shots, func(s *Shot) bool { return s.Snaps })
}

// Situation is a few words on p that tell it from its neighbours, "3&8 dropback own 35-yard
// line, left hash"; none without a sheet.
func (p Play) Situation() string {
	return strings.TrimSpace(p.call() + " " + p.place())
}

// call is the down, the distance and the type of p, "3&8 dropback", as far as they are known.
func (p Play) call() string {
	if p.Row == nil {
		return ""
	}
	return strings.TrimSpace(p.Row.DownAndDistance() + " " + p.Row.Type)
}

// place is where the ball was before p, "own 35-yard line, left hash", as far as it is known.
func (p Play) place() string {
	if p.Row == nil {
		return ""
	}
	words := p.Row.BallOn()
	if p.Row.Hash != "" {
		words += ", " + p.Row.Hash + " hash"
	}
	return strings.TrimPrefix(words, ", ")
}

// Stage is a stage of work that takes long.
type Stage string

// The stages of an outline.
const (
	Looking   Stage = "looking"   // through the film
	Picturing Stage = "picturing" // what the contact sheet shows
)

// Progress is told how many of all frames of a stage are done. It is called by one
// goroutine at a time.
type Progress func(stage Stage, done, total tags.Frame)

func (p Progress) tell(stage Stage, done, total tags.Frame) {
	if p != nil {
		p(stage, done, total)
	}
}

// Find looks through film for plays. progress may be nil. It fails with a [tags.RequestError]
// where the request is wrong, and with [tags.Faults] where the tag file or the film has
// faults, or where it cannot be told which plays the rows of the sheet are.
func Find(ctx context.Context, library *film.Library, r Request, progress Progress) (*Proposal, error) {
	if err := r.Check(); err != nil {
		return nil, err
	}
	known, err := r.readList(ctx)
	var faults tags.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, err
	}
	frames, missing, err := probe(ctx, library, r.Footage)
	if err != nil {
		return nil, err
	}
	if err := append(faults, missing...).Err(); err != nil {
		return nil, append(append(known.sheetFaults(), faults...), missing...)
	}
	shots, faults, err := r.look(ctx, library, frames, progress)
	if err == nil {
		err = faults.Err()
	}
	if err == nil {
		err = r.checkShots(shots, known.plays)
	}
	if err != nil {
		return nil, err
	}
	p := &Proposal{File: r.File, Shots: shots, Lost: lost(shots), Sheet: known.sheet, old: known.old}
	takes := takesOf(r.Footage, shots)
	if known.game != nil {
		known.again = newAgain(known.game, known.data, shots)
		if !known.again.corrected(r.Pins) {
			numberTakes(takes, known.again.numbers())
		}
		known.plays = slices.SortedStableFunc(slices.Values(known.plays), func(a, b *tags.Play) int { return a.Number - b.Number })
	}
	p.Plays, p.Absent = match(known.plays, takes, r.Pins)
	if known.again != nil {
		known.again.trust(p.Plays)
	}
	if len(p.Plays) == 0 {
		return nil, fmt.Errorf("no play found: %s", reasons(shots))
	}
	p.data, err = p.tagFile(known, r.Vocabulary)
	return p, err
}

// lost is what cannot be decoded of the films of shots.
func lost(shots []*Shot) []Lost {
	var list []Lost
	for i, s := range shots {
		if first := i == 0 || shots[i-1].File != s.File; first && s.Source.Lost > 0 {
			list = append(list, Lost{s.File, s.Source.Lost, s.Source.Clock().At(0)})
		}
	}
	return list
}

// reasons is why no shot shows a play: "2 shots too short, 1 shot little field".
func reasons(shots []*Shot) string {
	counts := map[string]int{}
	for _, s := range shots {
		counts[s.Why()]++
	}
	var said []string
	for _, why := range slices.Sorted(maps.Keys(counts)) {
		said = append(said, tags.Count(counts[why], "shot")+" "+why)
	}
	return strings.Join(said, ", ")
}

// Unused is the shots that are of no play.
func (p *Proposal) Unused() []*Shot {
	used := map[*Shot]bool{}
	for _, play := range p.Plays {
		for _, s := range play.Shots {
			used[s] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(p.Shots), func(s *Shot) bool { return used[s] })
}

// Doubtful is the runs of plays beside one another that are not sure.
func (p *Proposal) Doubtful() [][]Play {
	var runs [][]Play
	before := false
	for _, play := range p.Plays {
		doubt := play.Doubt() != ""
		switch {
		case doubt && before:
			runs[len(runs)-1] = append(runs[len(runs)-1], play)
		case doubt:
			runs = append(runs, []Play{play})
		}
		before = doubt
	}
	return runs
}
