package query

import (
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// Words is what was asked for, in the words of a room: "Pass rush, #91 Teo Marlow, short
// set".
func (q *Query) Words() string {
	if len(q.terms) == 0 {
		return "Everything"
	}
	return tags.Capital(strings.Join(q.Phrases(), ", "))
}

// Phrases is what Words joins. A CEL expression has no words: all of them together are
// said to be a condition, behind the rest.
func (q *Query) Phrases() []string {
	var phrases []string
	condition := false
	for _, t := range q.terms {
		if t.words == "" {
			condition = true
		} else {
			phrases = append(phrases, t.words)
		}
	}
	if condition {
		phrases = append(phrases, "chosen by a condition")
	}
	return phrases
}

// roomForms is how facts are said whose words mean little without them. The others are said
// as their name and their value: coverage cover 2.
var roomForms = map[string]string{
	"rusher": "%s", "blocker": "against %s", "qb": "QB %s", "opponent": "against %s",
	"type": "%s", "down-class": "%s", "distance": "%s to go",
	"set": "%s set", "hands": "%s hands", "block": "%s block", "stunt": "%s stunt", "saw": "saw %s",
	"side": "%s side", "strength-side": "%s side", "field-side": "%s side", "stance": "%s stance", "gap": "%s gap", "hash": "%s hash",
	"kind": "%s film", "called": "called by %s", "contain": "%s", "penalty": "%s", "how": "%s",
	"job": "%s", "down": "%s", "game": "%s", "move": "%s", "first-move": "%s first", "last-move": "%s last", "sequence": "%s",
	"matchup": "%s", "battle": "battle %s", "outcome": "%s", "did": "%s", "time-to-beat": "beat him in %s", "time-to-getoff": "get-off in %s",
	"point": "coaching point %s", "rep": "%s",
}

// roomWords says a term of a fact; value is its value or values in words.
func roomWords(f Fact, value string) string {
	switch {
	case f.Name == "help" && value == "none":
		return "no help"
	case f.Name == "outcome" && value == "sack": // the key sack asks of strip sacks and halves too
		return "outcome sack"
	}
	form, ok := roomForms[f.Name]
	if !ok {
		form = tags.Spoken(f.Name) + " %s"
	}
	return fmt.Sprintf(form, value)
}

// roomOrder says a term that orders values of a fact: "at least 7 to go", "down at least 3".
func roomOrder(f Fact, bound string) string {
	if f.Kind == Seconds {
		bound = strings.TrimSuffix(bound, "s") + " s"
	}
	switch f.Name {
	case "distance", "time-to-beat", "time-to-getoff":
		return roomWords(f, bound)
	default:
		return tags.Spoken(f.Name) + " " + bound
	}
}

func (r *Registry) roomValue(f Fact, value string) string {
	switch f.Name {
	case "down":
		if n, err := strconv.Atoi(value); err == nil && n >= 1 && n <= len(tags.Downs) {
			return tags.Downs[n-1] + " down"
		}
	case "down-class":
		switch down, class, _ := strings.Cut(value, "-"); {
		case class != "down":
			return down + " and " + class
		case down != "first": // third down asks of every distance
			return down + " down without a distance"
		}
	case "sequence":
		moves := strings.Split(value, ">")
		for i, move := range moves {
			move, path, _ := strings.Cut(move, "/")
			moves[i] = strings.TrimSpace(r.vocabulary.Label("move", move) + " " + path)
		}
		if len(moves) == 1 { // the move by itself asks of any rush that has it
			return moves[0] + " alone"
		}
		return strings.Join(moves, ", then ")
	case "rep":
		for _, rep := range r.season.Reps() {
			if rep.Name() == value {
				said := fmt.Sprintf("%s on play %d", rep.Rusher.Shown(), rep.Play.Number)
				return strings.TrimSuffix(said+", "+gameWords(rep.Play.Game), ", ")
			}
		}
	case "game":
		said, alike := "", 0
		for _, g := range r.season.Games {
			if g.ID == value {
				said = gameWords(g)
			}
		}
		for _, g := range r.season.Games {
			if gameWords(g) == said {
				alike++
			}
		}
		if said != "" && alike == 1 { // else only the id tells them apart
			return said
		}
	}
	if f.Kind == Seconds {
		return strings.TrimSuffix(value, "s") + " s"
	}
	if f.list != "" && f.list != readList && f.list != familyList {
		return r.vocabulary.Label(f.list, r.shown(f, value))
	}
	if f.closed != nil || f.list != "" {
		return tags.Spoken(r.shown(f, value))
	}
	return r.shown(f, value)
}

// gameWords is a game as a room says it; empty where its opponent is not tagged, but of a practice.
func gameWords(g *tags.Game) string {
	switch {
	case g.Opponent != "" && g.Scouted() && g.Us != "": // which we did not play
		return strings.TrimSpace(g.Us + " against " + g.Opponent + " " + g.Date)
	case g.Opponent != "":
		return strings.TrimSpace("against " + g.Opponent + " " + g.Date)
	case g.Practised():
		return strings.TrimSpace("practice " + g.Date)
	default:
		return ""
	}
}

// passRush reports whether values are the jobs that rush the passer, all of them.
func passRush(values []tags.TermValue) bool {
	jobs := map[string]bool{}
	for _, v := range values {
		jobs[v.Text] = true
	}
	return len(jobs) == 3 && jobs["rush"] && jobs["penetrator"] && jobs["looper"]
}
