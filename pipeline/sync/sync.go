// Package sync puts the angles of a game in step. It finds how the time of each film runs
// against the first film's, and the snap of each play on the angles where it is not marked:
// from instants marked on several films, from what the cameras heard, or from what moves.
package sync

import (
	"context"
	"fmt"
	"os"
	"strings"
	gosync "sync"

	"trenchcut/pipeline/film"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Request is what is known of the angles, and what is to be found anew.
type Request struct {
	// Marks are instants that somebody saw on two films or more, each by angle. Marks and
	// nudges are of the angles of one game.
	Marks []map[string]tags.Instant
	// Nudges is by how many frames to move an angle from where it is found, or from where it
	// is written; less than 0 is earlier in its film.
	Nudges map[string]tags.Frame
	// Again finds offsets anew that are written already.
	Again bool
}

// Proposal is what was found of one game.
type Proposal struct {
	Game     *tags.Game
	Findings []*Finding

	films map[string]plan.Source
	file  []byte // the tag file as it was when the search began
}

// Finding is one thing that was to be found: how the film of an angle runs against the
// first angle's, or the snap of one play on one angle.
type Finding struct {
	Angle string     // the angle to be put in step
	Play  *tags.Play // nil of a whole film
	On    string     // the angle on whose film Set is: Angle, or the first where only that one lacks the snap

	Set     tags.Time // the offset, or the snap
	Drift   int       // of a whole film: by how many millionths its clock is slow
	Clear   float64   // how clearly it was heard, as of [Lag]; 0 where it was not by sound
	How     string    // how it was found, in words
	BySound bool
	Guess   bool   // the snap is a guess
	Stays   bool   // the file says so already: nothing is to be written
	Nudged  string // the angle that was moved, empty for none

	Err    error // why nothing was found
	Failed bool  // Err is that the work failed, and not that nothing sure was found

	search search
}

// Progress is told how many of all frames to be heard or seen are done. It is called by
// one goroutine at a time.
type Progress func(done, total tags.Frame)

// Find looks for what puts the angles of the games of a season in step. films says what
// each film file is; progress may be nil. What is not found is said by its finding: Find
// itself fails only where the request is wrong, a tag file cannot be read, or ctx is done.
func Find(ctx context.Context, library *film.Library, season *tags.Season, films map[string]plan.Source, req Request, progress Progress) ([]*Proposal, error) {
	// What will be edited is what is read now, so that a change made from now on is noticed.
	var proposals []*Proposal
	for _, g := range season.Games {
		file, err := os.ReadFile(g.Pos.File)
		if err != nil {
			return nil, fmt.Errorf("read the tag file: %w", err)
		}
		proposals = append(proposals, &Proposal{Game: g, films: films, file: file})
	}
	marks, err := req.resolve(season, films)
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	f := &finder{library: library, films: films}
	var all []*Finding
	for _, p := range proposals {
		p.Findings = f.searches(p.Game, req, marks)
		all = append(all, p.Findings...)
	}
	f.counter = counter{progress: progress}
	for _, finding := range all {
		f.total += f.frames(finding)
	}
	return proposals, f.find(ctx, all)
}

// counter adds up frames that are told of by several goroutines.
type counter struct {
	progress    Progress
	mu          gosync.Mutex
	done, total tags.Frame
}

func (c *counter) add(more tags.Frame) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.done = min(c.done+more, c.total)
	if c.progress != nil {
		c.progress(c.done, c.total)
	}
}

// Standing says of how many plays of p's game, on the first angle and on another, there was
// nothing to be found: those whose snap is marked on both, and those that are on one film with
// no snap marked on either. It is empty where there are none.
func (p *Proposal) Standing(angle string) string {
	inStep, unmarked := p.standing(angle)
	var said []string
	if inStep > 0 {
		said = append(said, tags.Count(inStep, "play")+" in step: the snap is marked on both")
	}
	if unmarked > 0 {
		said = append(said, tags.Count(unmarked, "play")+" with no snap marked on either")
	}
	return strings.Join(said, "; ")
}

func (p *Proposal) standing(angle string) (inStep, unmarked int) {
	for _, play := range p.Game.Plays {
		first := p.Game.Films[0].Angle
		if !play.Timed(first) || !play.Timed(angle) {
			continue
		}
		one, errOne := play.View(first)
		other, errOther := play.View(angle)
		switch {
		case errOne != nil || errOther != nil:
		case marked(play, one) && marked(play, other):
			inStep++
		case !one.Snaps && !other.Snaps && one.File == other.File:
			unmarked++
		}
	}
	return inStep, unmarked
}
