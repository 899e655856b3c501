package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags/stats"
)

const gradesTable = "grades"

func gradesView(_ context.Context, in *statsInput) (statsView, error) {
	result := stats.Grades(in.reps)
	v := statsView{
		title:  "the grade sheet",
		who:    stats.GradesWords,
		lead:   []string{"Grades as plus/zero/minus for assignment, technique and effort; a snap is a play he has a rep on. Points are production points by the staff's table; missed is missed assignments, edge is contain lost."},
		result: result,
		sheet: sheet{heading: []string{
			"rusher", "jersey", "name", "snaps", "graded", "assignment-plus", "assignment-zero", "assignment-minus",
			"technique-plus", "technique-zero", "technique-minus", "effort-plus", "effort-zero", "effort-minus",
			"points", "loafs", "missed-assignments", "lost-contain",
		}},
	}
	b := block{columns: []column{
		{title: "#", right: true},
		{title: "player", least: 12, fold: true},
		{title: "snaps", right: true},
		{title: "graded", right: true, spare: 1},
		{title: "assign", right: true},
		{title: "tech", right: true},
		{title: "effort", right: true},
		{title: "points", right: true},
		{title: "loafs", right: true},
		{title: "missed", right: true},
		{title: "edge", right: true},
	}}
	marks := func(m stats.Marks) string { return fmt.Sprintf("%d/%d/%d", m.Plus, m.Zero, m.Minus) }
	for _, g := range result {
		name := g.Shown
		if name == "" {
			name = g.Name
		}
		b.rows = append(b.rows, []string{
			firstFew(g.Jersey), firstFew(name), strconv.Itoa(g.Snaps), strconv.Itoa(g.Graded), marks(g.Assignment), marks(g.Technique), marks(g.Effort),
			pointsWords(g.Points), strconv.Itoa(g.Loafs), strconv.Itoa(g.MissedAssignments), strconv.Itoa(g.LostContain),
		})
		v.sheet.add(g.Name, g.Jersey, g.Shown, g.Snaps, g.Graded,
			g.Assignment.Plus, g.Assignment.Zero, g.Assignment.Minus, g.Technique.Plus, g.Technique.Zero, g.Technique.Minus,
			g.Effort.Plus, g.Effort.Zero, g.Effort.Minus, known(g.Points), g.Loafs, g.MissedAssignments, g.LostContain)
	}
	v.blocks = []block{b}
	return v, nil
}

// firstFew is the first two of words with / between them.
func firstFew(words string) string {
	list := strings.Split(words, "/")
	if len(list) > 2 {
		return list[0] + "/" + list[1] + "/…"
	}
	return words
}

// pointsWords is "7.5"; empty where nothing is known of points.
func pointsWords(points *float64) string {
	if points == nil {
		return ""
	}
	return strconv.FormatFloat(*points, 'f', -1, 64)
}
