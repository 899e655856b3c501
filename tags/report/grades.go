package report

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

var gradeColumns = columns[stats.Grade]{
	{Column{Key: "rusher", Doc: "His id."}, func(g stats.Grade) any { return g.Name }},
	{Column{Key: "jersey", Doc: "The numbers he wore."}, func(g stats.Grade) any { return g.Jersey }},
	{Column{Key: "number", Title: "#", Kind: Number, textOnly: true}, func(g stats.Grade) any { return firstTwo(g.Jersey) }},
	{Column{Key: "name", Doc: "His name."}, func(g stats.Grade) any { return g.Shown }},
	{Column{Key: "player", textOnly: true, Least: 12, Fold: true}, func(g stats.Grade) any { return firstTwo(cmp.Or(g.Shown, g.Name)) }},
	{Column{Key: "snaps", Kind: Number, Unit: "plays", Doc: "Plays he has a rep on."}, func(g stats.Grade) any { return g.Snaps }},
	{Column{Key: "graded", Kind: Number, Unit: "reps", Doc: "Reps with any grade.", Spare: 1}, func(g stats.Grade) any { return g.Graded }},
	{Column{Key: "assignment", Title: "assign", Kind: Marks, Unit: "reps", Doc: "Grades for assignment."}, func(g stats.Grade) any { return g.Assignment }},
	{Column{Key: "technique", Title: "tech", Kind: Marks, Unit: "reps", Doc: "Grades for technique."}, func(g stats.Grade) any { return g.Technique }},
	{Column{Key: "effort", Kind: Marks, Unit: "reps", Doc: "Grades for effort."}, func(g stats.Grade) any { return g.Effort }},
	{Column{Key: "points", Kind: Decimal, Unit: "points", Doc: "Production points by the staff's table."}, func(g stats.Grade) any { return g.Points }},
	{Column{Key: "points-per-snap", Title: "a snap", Kind: Decimal, Unit: "points", Doc: "Production points by the snap.", Spare: 1}, func(g stats.Grade) any { return hundredths(g.PerSnap) }},
	{Column{Key: "sacks", Kind: Decimal, Unit: "sacks", Doc: "His shares of sacks: half a sack where that is tagged, else an equal part among those who share one.", Spare: 2}, func(g stats.Grade) any { return hundredths(&g.Sacks) }},
	{Column{Key: "holds-drawn", Title: "held", Kind: Number, Unit: "reps", Doc: "Holds he drew, each of them a battle won.", Spare: 1}, func(g stats.Grade) any { return g.Held }},
	{Column{Key: "loafs", Kind: Number, Unit: "reps", Doc: "Reps marked as a loaf."}, func(g stats.Grade) any { return g.Loafs }},
	{Column{Key: "missed-assignments", Title: "missed", Kind: Number, Unit: "reps", Doc: "Reps with a missed assignment."}, func(g stats.Grade) any { return g.MissedAssignments }},
	{Column{Key: "lost-contain", Title: "edge", Kind: Number, Unit: "reps", Doc: "Reps that had contain and lost it."}, func(g stats.Grade) any { return g.LostContain }},
}

func gradesTable(r *Request) (Table, error) {
	grades := stats.Grades(r.Reps)
	var notes []string
	n := 0
	for _, g := range grades {
		if g.Points != nil {
			n += g.Unpriced
		}
	}
	if n > 0 {
		notes = []string{fmt.Sprintf("On %s nothing is tagged that the table of points prices: counted as snaps that earn nothing.", tags.Count(n, "rep"))}
	}
	return Table{
		Notes: notes,
		Title: "the grade sheet",
		Who:   stats.GradesWords,
		Lead:  []string{"Grades as plus/zero/minus for assignment, technique and effort; a snap is a play he has a rep on. Points are production points by the staff's table; held is holds he drew, which count as won, missed is missed assignments, edge is contain lost."},
		Blocks: []Block{gradeColumns.block(grades, pick{key: "number"}, pick{key: "player"}, pick{key: "snaps"}, pick{key: "graded"}, pick{key: "assignment"},
			pick{key: "technique"}, pick{key: "effort"}, pick{key: "points"}, pick{key: "points-per-snap"}, pick{key: "sacks"}, pick{key: "holds-drawn"}, pick{key: "loafs"}, pick{key: "missed-assignments"}, pick{key: "lost-contain"})},
		Grids: []Grid{gradeColumns.grid("", grades)},
	}, nil
}

// hundredths is a number rounded to two places; nil where it is not known.
func hundredths(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(math.Round(100**x) / 100)
}

// firstTwo is the first two of words with / between them.
func firstTwo(words string) string {
	list := strings.Split(words, "/")
	if len(list) > 2 {
		return list[0] + "/" + list[1] + "/…"
	}
	return words
}
