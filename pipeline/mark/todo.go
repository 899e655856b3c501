package mark

import (
	"errors"
	"fmt"
	"strings"
)

// Todo is one thing in a game that is not marked yet.
type Todo struct {
	Pass Pass   `json:"pass"`
	Play int    `json:"play"`
	Rep  string `json:"rep,omitempty"`
	Who  string `json:"who,omitempty"` // the rusher as a room names him
	What string `json:"what"`
}

// Todo is what is not marked yet in a pass, in the order of the game.
func (l Look) Todo(pass Pass) []Todo {
	var all []Todo
	for _, number := range l.plays() {
		if pass == PlaysPass {
			if missing := l.missingOfPlay(number); len(missing) > 0 {
				all = append(all, Todo{Pass: pass, Play: number, What: strings.Join(missing, ", ")})
			}
			continue
		}
		reps := l.reps(number)
		p := l.play(number)
		if p != nil && len(reps) == 0 && p.OurUnit() && p.IsPass() {
			all = append(all, Todo{Pass: pass, Play: number, What: "no rep"})
		}
		for _, who := range reps {
			if missing := l.missingOfRep(number, who); len(missing) > 0 {
				all = append(all, Todo{Pass: pass, Play: number, Rep: who, Who: l.who(who), What: strings.Join(missing, ", ")})
			}
		}
	}
	return all
}

func (l Look) missingOfPlay(number int) []string {
	p := l.play(number)
	if p == nil {
		return []string{"only begun: in and out"}
	}
	var missing []string
	if _, begun := l.state.draft(number, ""); begun {
		missing = append(missing, "an angle only begun: in and out")
	}
	if l.guessed(number) {
		missing = append(missing, "snap is a guess")
	}
	for _, angle := range p.Angles() {
		if v, err := p.View(angle); err != nil || !v.Snaps {
			missing = append(missing, fmt.Sprintf("no snap (%s)", angle))
		}
	}
	if p.Type == "" {
		missing = append(missing, "no type")
	}
	return missing
}

func (l Look) missingOfRep(number int, who string) []string {
	var missing []string
	if _, begun := l.state.draft(number, who); begun {
		missing = append(missing, "only begun")
	}
	wanted := []Field{"align", "move", "blocker.set", "battle", "outcome"}
	if p := l.play(number); p != nil && p.IsRun() {
		wanted = []Field{"align", "blocker.block", "battle", "outcome"}
	}
	for _, f := range wanted {
		if v, _ := l.Value(number, who, f); v == "" {
			missing = append(missing, "no "+f.Spoken())
		}
	}
	return missing
}

// nextTodo goes to the next thing that is not marked, behind where the desk is, or from the
// game's beginning.
func (f *form) nextTodo() error {
	all := f.look.Todo(f.Pass)
	if len(all) == 0 {
		return errors.New("nothing is left to mark in this pass")
	}
	place := -1
	for i, t := range all {
		if t.Play > f.Play || t.Play == f.Play && f.Rep != "" && t.Rep != f.Rep && after(f.look.reps(f.Play), f.Rep, t.Rep) {
			place = i
			break
		}
	}
	t := all[max(place, 0)]
	f.Play, f.Rep = t.Play, t.Rep
	f.Said = t.What
	return nil
}

// after reports whether b stands behind a.
func after(all []string, a, b string) bool {
	seen := false
	for _, s := range all {
		if s == b {
			return seen
		}
		seen = seen || s == a
	}
	return false
}

// who is a person as a room names him.
func (l Look) who(id string) string {
	if p := l.Game.People[id]; p != nil {
		return p.Shown()
	}
	return id
}
