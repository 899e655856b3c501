package tags

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// repName is a rep's name, as [Rep.Name] makes it: its game, its play and its rusher.
var repName = regexp.MustCompile(`^(.+)-p(\d{3,})-.+$`)

// checkModels finds the models that name no rep of the season, and warns of those that show
// nobody how it is done: the rep itself, and one that was not won. A rep of a game that was
// not read may be right, so that is a warning too.
func (s *Season) checkModels() Faults {
	var fs Faults
	var reps map[string]*Rep
	var names []string
	for _, g := range slices.Concat(s.Games, s.Second) {
		for _, p := range g.Plays {
			for _, r := range p.Reps {
				if r.Model == "" {
					continue
				}
				if reps == nil {
					reps = map[string]*Rep{}
					for _, other := range s.Reps() {
						reps[other.Name()] = other
						names = append(names, other.Name())
					}
				}
				s.checkModel(r, reps, names, &fs)
			}
		}
	}
	return fs
}

// checkModel is checkModels of one rep, with all reps by name.
func (s *Season) checkModel(r *Rep, reps map[string]*Rep, names []string, fs *Faults) {
	model := reps[r.Model]
	switch {
	case model == nil:
		hint, elsewhere := s.meantRep(r, names)
		if elsewhere != "" {
			fs.Warn(r.modelAt, "model %q is of the game %s, which is not among those that were read", r.Model, elsewhere)
		} else {
			fs.Add(r.modelAt, "model %q names no rep", r.Model)
		}
		fs.hint(hint)
		return
	case r.Model == r.Name():
		fs.Warn(r.modelAt, "the model of %s is that rep itself", r.Model)
	default:
		won, known := model.Won()
		switch {
		case won:
			return
		case known:
			fs.Warn(r.modelAt, "the model %s was not won: its battle is %s", r.Model, Spoken(model.Battle))
		default:
			fs.Warn(r.modelAt, "the model %s is not said to be won: it has no battle", r.Model)
		}
	}
	fs.hint("a model is shown to be done alike")
}

// meantRep is which rep was probably meant by the model of r, as a hint, and the game that it
// is of where that was not read.
func (s *Season) meantRep(r *Rep, names []string) (hint, elsewhere string) {
	if near, ok := Nearest(r.Model, names); ok {
		return fmt.Sprintf("did you mean %q?", near), ""
	}
	if within := r.Play.Game.ID + "-" + r.Model; slices.Contains(names, within) { // as find prints it of one game
		return fmt.Sprintf("did you mean %q?", within), ""
	}
	parts := repName.FindStringSubmatch(r.Model)
	if parts == nil {
		return "want the name of a rep as find prints it, with its game: " + r.Name(), ""
	}
	if !slices.ContainsFunc(s.Games, func(g *Game) bool { return g.ID == parts[1] }) {
		return "", parts[1]
	}
	play := parts[1] + "-p" + parts[2]
	var there []string
	for _, name := range names {
		if strings.HasPrefix(name, play+"-") {
			there = append(there, name)
		}
	}
	switch len(there) {
	case 0:
		return fmt.Sprintf("%s has no rep of such a play", parts[1]), ""
	case 1:
		return fmt.Sprintf("did you mean %q?", there[0]), ""
	default:
		return wantOneOf(there), ""
	}
}
