// Package session loads what all work on reels starts from: the games that were named, the
// staff's own words, and what the film of the games is.
package session

import (
	"context"
	"slices"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Request names what to load.
type Request struct {
	Games []string        // tag files, or folders to search; none is the current folder
	Staff tags.StaffFiles // vocabulary and reads; a nil list is every file with the games
	Film  FilmUse
}

// FilmUse says at which film to look.
type FilmUse int

// The uses of film.
const (
	FilmForRates FilmUse = iota // only film whose rate the tags need: a time may be a frame number
	FilmOfGames                 // all film of the games
	FilmOfAll                   // film of second opinions as well
)

// Session is a season that was loaded.
type Session struct {
	Season *tags.Season
	Faults tags.Faults // of every file, warnings included, in order
	// Films is what each film is that was looked at, by its path.
	Films map[string]plan.Source

	machine *Machine
}

// Load reads the games and the staff's files, and looks at their film. What is wrong with
// them is in Faults and is no error. A request that names what is not there is a
// [tags.RequestError].
func Load(ctx context.Context, r Request) (*Session, error) {
	files, err := tags.FindGames(r.Games)
	if err != nil {
		return nil, tags.WrongRequest(err)
	}
	staff, err := r.StaffFiles()
	if err != nil {
		return nil, err
	}
	vocabulary, inStaff, err := tags.LoadVocabulary(staff)
	if err != nil {
		return nil, err
	}
	s := &Session{}
	if s.Season, s.Faults, err = tagCache().Load(files, vocabulary); err != nil {
		return nil, err
	}
	// The program's own templates are tested, so they are not checked in every run.
	if len(staff.Vocabulary)+len(staff.Reads) > 0 {
		inTerms, err := query.Check(vocabulary, s.Season)
		if err != nil {
			return nil, err
		}
		s.Faults = slices.Concat(s.Faults, inStaff, inTerms)
	}
	if err := s.survey(ctx, r.Film); err != nil {
		return nil, err
	}
	s.Faults.Sort()
	return s, ctx.Err()
}

// StaffFiles is the staff's files that were named, or those found with the games.
func (r Request) StaffFiles() (tags.StaffFiles, error) {
	found, err := tags.FindStaffFiles(r.Games)
	if r.Staff.Vocabulary != nil {
		found.Vocabulary = r.Staff.Vocabulary
	}
	if r.Staff.Reads != nil {
		found.Reads = r.Staff.Reads
	}
	if r.Staff.Keys != nil {
		found.Keys = r.Staff.Keys
	}
	return found, tags.WrongRequest(err)
}

// Vocabulary is the words of a request's staff, as they hold for its games. Faults in the
// staff's files are [tags.Faults].
func Vocabulary(r Request) (*tags.Vocabulary, error) {
	staff, err := r.StaffFiles()
	if err != nil {
		return nil, err
	}
	v, faults, err := tags.LoadVocabulary(staff)
	if err != nil {
		return nil, err
	}
	return v, faults.Err()
}

// survey looks at film and holds the tags to it.
func (s *Session) survey(ctx context.Context, use FilmUse) error {
	var games []*tags.Game
	for _, g := range s.Season.Games {
		if use >= FilmOfGames || g.NeedsRate() {
			games = append(games, g)
		}
	}
	for _, g := range s.Season.Second {
		if use == FilmOfAll || g.NeedsRate() {
			games = append(games, g)
		}
	}
	if len(games) == 0 {
		return nil
	}
	m, err := s.Machine()
	if err != nil {
		return err
	}
	films, faults, err := m.Library.Survey(ctx, games)
	if err != nil {
		return err
	}
	s.Films = films
	s.Faults = append(s.Faults, faults...)
	extents := plan.Extents(films)
	for _, g := range games {
		s.Faults = append(s.Faults, g.CheckFilm(extents)...)
	}
	return nil
}

// Machine is what the session's film is looked at and cut with. It is opened when it is
// first asked for, because questions to tags alone need no ffmpeg.
func (s *Session) Machine() (*Machine, error) {
	if s.machine == nil {
		var err error
		if s.machine, err = OpenMachine(); err != nil {
			return nil, err
		}
	}
	return s.machine, nil
}
