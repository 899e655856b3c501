// Package tags holds what happened: games, plays and reps as a staff wrote them down,
// checked against the vocabulary and the film, with the facts that follow from them.
package tags

import (
	"cmp"
	"fmt"
	"slices"
)

// Season is every game that was read together, with the vocabulary they share.
type Season struct {
	Games []*Game // in order of date, then id
	// Second is what others said of some of Games: the same id, by another. They stand apart,
	// so that no play and no rep counts twice; only agreement asks for them.
	Second     []*Game // in order of date, then id, then by
	Vocabulary *Vocabulary
}

// Game is one tag file.
type Game struct {
	Pos      Pos // of the game's id
	ID       string
	By       string // who tagged it, where more than one did; empty is the staff itself
	Kind     string
	Date     string // 2026-09-12
	Us       string
	Opponent string
	Field    string
	Films    []Film // in the order listed: the first is what in and out on a play mean
	People   map[string]*Person
	Assume   map[string]string // what stands where a rep says nothing, by the field's name
	Plays    []*Play

	vocabulary *Vocabulary
	clocks     map[string]Clock // by film file
}

// Film is one angle of a game on film.
type Film struct {
	Pos    Pos
	Angle  string
	File   string   // absolute, of all its parts (files.Parts); empty where each play names its own file
	Offset *Instant // this angle's time less the first angle's, for film that runs on
	Drift  int      // parts in a million of the first angle's time by which Offset grows
}

// Person is anyone a game's reps name.
type Person struct {
	Pos      Pos
	ID       string
	Name     string
	Team     string // "us" or the opponent's name; a tag file says "them" for that too
	Jersey   string // as written: 091 and 91 are two numbers
	Position string
	Runs     bool // a passer who runs

	over identity // the games of a season; see callPeople
}

// Number is p where room is short: his jersey, or what else there is of him.
func (p *Person) Number() string {
	if p.Jersey != "" {
		return "#" + p.Jersey
	}
	return p.Shown()
}

// Shown is how p is named to a room: jersey and name, or what there is of them.
func (p *Person) Shown() string {
	switch {
	case p.Jersey == "" && p.Name == "":
		return p.ID
	case p.Jersey == "":
		return p.Name
	case p.Name == "":
		return "#" + p.Jersey
	default:
		return "#" + p.Jersey + " " + p.Name
	}
}

// Film is the game's film of an angle.
func (g *Game) Film(angle string) (Film, bool) {
	for _, f := range g.Films {
		if f.Angle == angle {
			return f, true
		}
	}
	return Film{}, false
}

// SetClock tells g what a film file says of its own time, so that instants written in
// frames and timecode on it can be resolved.
func (g *Game) SetClock(file string, c Clock) {
	if g.clocks == nil {
		g.clocks = map[string]Clock{}
	}
	g.clocks[file] = c
}

// NeedsRate reports whether some time in g is written in frames or timecode, which
// means something only once SetClock has told of its film.
func (g *Game) NeedsRate() bool {
	needs := func(at *Instant) bool { return at != nil && at.NeedsRate() }
	inMarks := func(marks Marks) bool { return slices.ContainsFunc(marks.at, Instant.NeedsRate) }
	for _, f := range g.Films {
		if needs(f.Offset) {
			return true
		}
	}
	for _, p := range g.Plays {
		if needs(p.in) || needs(p.out) || inMarks(p.Marks) {
			return true
		}
		for _, a := range p.angles {
			if needs(a.In) || needs(a.Out) || needs(a.Snap) {
				return true
			}
		}
		for _, r := range p.Reps {
			if needs(r.in) || needs(r.out) || inMarks(r.Marks) {
				return true
			}
		}
	}
	return false
}

// Files is every film file g names, each once, in order of first mention.
func (g *Game) Files() []FilmRef {
	var refs []FilmRef
	seen := map[string]bool{}
	add := func(file string, pos Pos) {
		if file != "" && !seen[file] {
			seen[file] = true
			refs = append(refs, FilmRef{file, pos})
		}
	}
	for _, f := range g.Films {
		add(f.File, f.Pos)
	}
	for _, p := range g.Plays {
		for _, a := range p.angles {
			add(a.File, a.Pos)
		}
	}
	return refs
}

// FilmRef is a film file and where it was named first.
type FilmRef struct {
	File string
	Pos  Pos
}

// Ours reports whether p plays for us in g.
func (g *Game) Ours(p *Person) bool {
	return p.Team == "" || p.Team == "us" || p.Team == g.Us
}

// Them is what a tag file may call the team of the opponent's people.
const Them = "them"

// TheirTeam is the team of the opponent's people in g: his name, or where that is not said one that
// no other game has, so that men of two opponents are not taken for one.
func (g *Game) TheirTeam() string { return cmp.Or(g.Opponent, "opponent of "+g.ID) }

// The kinds of games that are not the staff's own.
const (
	Scout    = "scout"    // film of other teams
	Practice = "practice" // both sides are ours
)

// Scouted reports whether g is film of other teams.
func (g *Game) Scouted() bool { return g.Kind == Scout }

// Practised reports whether g is practice.
func (g *Game) Practised() bool { return g.Kind == Practice }

// Counted is "2 games, 36 plays, 52 reps, 4 films, 1 second opinion".
func (s *Season) Counted() string {
	films := map[string]bool{}
	for _, g := range s.Games {
		for _, f := range g.Files() {
			films[f.File] = true
		}
	}
	counted := fmt.Sprintf("%s, %s, %s, %s",
		Count(len(s.Games), "game"), Count(len(s.Plays()), "play"),
		Count(len(s.Reps()), "rep"), Count(len(films), "film"))
	if n := len(s.Second); n > 0 {
		counted += ", " + Count(n, "second opinion")
	}
	return counted
}
