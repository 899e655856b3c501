package stats

import (
	"math"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Grade is one player's line of the grade sheet.
type Grade struct {
	Name       string      // his id
	Jersey     string      // those he wore, where it changed
	Shown      string      // his name
	Reps       []*tags.Rep `json:"-"`
	Snaps      int         // plays he has a rep on
	Graded     int         // reps with any grade
	Assignment Marks
	Technique  Marks
	Effort     Marks
	// Points is his production points by the staff's table; nil where there is none, or none
	// of his reps has anything tagged that it prices.
	Points   *float64
	PerSnap  *float64 // Points by the snap
	Unpriced int      // reps that have nothing tagged that the table prices
	Sacks    float64  // his shares of sacks: half of one is 0.5
	Held     int      // holds he drew, each of them a win
	Loafs    int

	MissedAssignments int
	LostContain       int
}

// Marks is how often each grade was given.
type Marks struct {
	Plus  int
	Zero  int
	Minus int
}

func (m *Marks) add(grade string) {
	switch grade {
	case "plus":
		m.Plus++
	case "zero":
		m.Zero++
	case "minus":
		m.Minus++
	}
}

// GradesWords says whom Grades leaves in.
const GradesWords = "every rep on every kind of play, penalties among them"

// Grades is the grade sheet of reps, the player with the most snaps first.
func Grades(reps []*tags.Rep) []Grade {
	var list []Grade
	for _, s := range Split(reps, Rusher) {
		g := Grade{Name: s.Reps[0].Rusher.ID, Reps: s.Reps}
		plays := map[*tags.Play]bool{}
		var jerseys, names []string
		hundredths := 0 // so that the sum does not hang on the order of reps
		for _, r := range s.Reps {
			plays[r.Play] = true
			jerseys, names = put(jerseys, r.Rusher.Jersey), put(names, r.Rusher.Name)
			if r.Assignment+r.Technique+r.Effort != "" {
				g.Graded++
			}
			g.Assignment.add(r.Assignment)
			g.Technique.add(r.Technique)
			g.Effort.add(r.Effort)
			if points, known := r.Production(); known {
				hundredths += int(math.Round(100 * points))
				sum := float64(hundredths) / 100
				g.Points = &sum
			} else {
				g.Unpriced++
			}
			g.Sacks += r.SackShare()
			if r.DrewHold() {
				g.Held++
			}
			if r.Loaf == "yes" {
				g.Loafs++
			}
			if r.MissedAssignment == "yes" {
				g.MissedAssignments++
			}
			if r.Contain == "lost" {
				g.LostContain++
			}
		}
		g.Snaps = len(plays)
		if g.Points != nil {
			perSnap := *g.Points / float64(g.Snaps)
			g.PerSnap = &perSnap
		}
		g.Jersey, g.Shown = strings.Join(slices.Sorted(slices.Values(jerseys)), "/"), strings.Join(slices.Sorted(slices.Values(names)), "/")
		list = append(list, g)
	}
	slices.SortStableFunc(list, func(a, b Grade) int { return b.Snaps - a.Snaps })
	return list
}

// put is words with one more, unless it is among them or empty.
func put(words []string, word string) []string {
	if word == "" || slices.Contains(words, word) {
		return words
	}
	return append(words, word)
}
