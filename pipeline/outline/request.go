package outline

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/exchange"
)

// Request says which film to look through and what is known of it.
type Request struct {
	File    string // the tag file to write; it is named for the game: wk3-mesa.game.yaml
	Footage []*Footage
	Sheet   string // a play sheet, CSV or XLSX; empty is none
	Columns string // a file that says what its columns are; empty is the usual
	// Told is what columns of the sheet are, by their headings, whatever Columns says.
	Told       map[string]string
	Vocabulary *tags.Vocabulary
	Floor      tags.Time // a shot shorter than this shows no play
	Pins       []Pin
	LeaveOut   []int // the numbers of shots that show no play
	Again      bool  // the tag file may have film, and tags on it, already: see [Proposal.Changes]
}

// Pin says that a play is on a shot.
type Pin struct {
	Play int // its number
	Shot int // its ID, or NotFilmed
}

// NotFilmed stands for a shot where no film shows a play.
const NotFilmed = 0

// parsePin reads a pin as play=shot, or play=none of a play that was not filmed.
func parsePin(text string) (Pin, error) {
	play, shot, ok := strings.Cut(text, "=")
	pin := Pin{Shot: NotFilmed}
	var errPlay, errShot error
	if pin.Play, errPlay = strconv.Atoi(play); shot != "none" {
		pin.Shot, errShot = strconv.Atoi(shot)
		ok = ok && pin.Shot != NotFilmed
	}
	if !ok || errPlay != nil || errShot != nil {
		return pin, fmt.Errorf("%s: want play=shot, such as 23=31, or 23=none for a play that was not filmed", text)
	}
	return pin, nil
}

// UsualFloor is how long a shot of a play lasts at least, where nobody says otherwise.
const UsualFloor = "2.5s"

// ParseRequest reads what somebody types: film as [FindFootage] has it, the length under which a
// shot shows no play, pins, and numbers of shots that show none. The error is everything that is
// wrong with them.
func ParseRequest(film []string, floor string, pins, leaveOut []string) (Request, error) {
	var req Request
	var errs []error
	fail := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if at, err := tags.ParseInstant(floor); err != nil || at.NeedsRate() || at.From != tags.FromFilm {
		fail("floor %s: want a length of time such as 2.5s", floor)
	} else {
		req.Floor = tags.Time(at.N)
	}
	for _, text := range pins {
		pin, err := parsePin(text)
		if err != nil {
			fail("pin %w", err)
			continue
		}
		req.Pins = append(req.Pins, pin)
	}
	for _, text := range leaveOut {
		n, err := strconv.Atoi(text)
		if err != nil {
			fail("leave out %s: want the numbers of shots, such as 7,12", text)
			continue
		}
		req.LeaveOut = append(req.LeaveOut, n)
	}
	var err error
	if req.Footage, err = FindFootage(film); err != nil {
		errs = append(errs, err)
	}
	return req, errors.Join(errs...)
}

func wrong(format string, args ...any) error { return tags.WrongRequest(fmt.Errorf(format, args...)) }

// Check is everything that can be seen to be wrong with a request before any film is
// looked at, joined; nil where nothing is. [Find] checks the rest.
func (r Request) Check() error {
	var errs []error
	fail := func(format string, args ...any) { errs = append(errs, wrong(format, args...)) }
	if !strings.HasSuffix(r.File, tags.Suffix) {
		fail("%s: a tag file's name ends in %s", r.File, tags.Suffix)
	} else if info, err := os.Stat(filepath.Dir(r.File)); err != nil || !info.IsDir() {
		fail("%s: there is no such folder", r.File)
	} else if !tags.ID.MatchString(r.id()) {
		fail("%s: %w", r.File, exchange.ErrNoID)
	}
	shotOf, playOf := map[int]int{}, map[int]int{}
	for _, pin := range r.Pins {
		if before, twice := shotOf[pin.Play]; twice && before != pin.Shot {
			fail("pin %d=%d: play %d is pinned to shot %d too", pin.Play, pin.Shot, pin.Play, before)
		}
		if other, twice := playOf[pin.Shot]; twice && other != pin.Play && pin.Shot != NotFilmed {
			fail("pin %d=%d: shot %d is pinned to play %d too", pin.Play, pin.Shot, pin.Shot, other)
		}
		shotOf[pin.Play], playOf[pin.Shot] = pin.Shot, pin.Play
	}
	for _, n := range r.LeaveOut {
		if play, pinned := playOf[n]; pinned {
			fail("leave out %d: shot %d is pinned to play %d", n, n, play)
		}
	}
	return errors.Join(errs...)
}

// id is the id of the game that the tag file is named for.
func (r Request) id() string { return strings.TrimSuffix(filepath.Base(r.File), tags.Suffix) }

// checkShots holds pins and what is left out to the shots and plays that there are. list is
// nil where there is no list of plays.
func (r Request) checkShots(shots []*Shot, list []*tags.Play) error {
	var errs []error
	fail := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	isShot := func(n int) bool { return n >= 1 && n <= len(shots) }
	for _, n := range r.LeaveOut {
		if !isShot(n) {
			fail("leave out %d: there are shots 1 to %d", n, len(shots))
		}
	}
	for _, pin := range r.Pins {
		if pin.Shot != NotFilmed && !isShot(pin.Shot) {
			fail("pin %d=%d: there are shots 1 to %d", pin.Play, pin.Shot, len(shots))
		}
		switch {
		case list == nil:
			fail("pin of play %d: without a sheet plays have the numbers of their order", pin.Play)
		case !slices.ContainsFunc(list, func(p *tags.Play) bool { return p.Number == pin.Play }):
			fail("pin of play %d: the sheet has no such play", pin.Play)
		}
	}
	slices.SortFunc(errs, func(a, b error) int { return strings.Compare(a.Error(), b.Error()) })
	return tags.WrongRequest(errors.Join(errs...))
}
