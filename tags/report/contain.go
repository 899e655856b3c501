package report

import "trenchcut/tags/stats"

var containColumns = columns[stats.Contain]{
	{Column{Key: "group", Title: "who or on what", Doc: "The player, or the kind of play; all is every rep.", Least: 12}, func(c stats.Contain) any { return c.Name }},
	{Column{Key: "had", Title: "had contain", Kind: Number, Unit: "reps", Doc: "Reps that had contain."}, func(c stats.Contain) any { return c.Had }},
	{Column{Key: "kept", Kind: Rate, Unit: "reps", Doc: "Reps that kept it."}, func(c stats.Contain) any { return c.Kept }},
	{Column{Key: "lost", Kind: Number, Unit: "reps", Doc: "Reps that lost it."}, func(c stats.Contain) any { return c.Kept.N - c.Kept.K }},
	{Column{Key: "lost-in-a-win", Title: "in a win", Kind: Number, Unit: "reps", Doc: "Reps that lost it and won the battle."}, func(c stats.Contain) any { return c.LostInWin }},
	{Column{Key: "not-tagged", Kind: Number, textOnly: true}, func(c stats.Contain) any { return c.Kept.Unknown }},
}

func containTable(r *Request) (Table, error) {
	contains := stats.Contains(r.Reps)
	t := Table{Title: "contain had, kept and lost", Who: stats.ContainWords, Grids: []Grid{containColumns.grid("", contains)}}
	if contains[0].Had == 0 {
		t.Lead = append(t.Lead, noneCount)
		return t, nil
	}
	t.Blocks = []Block{containColumns.block(contains, pick{key: "group"}, pick{key: "had"}, pick{key: "kept"}, pick{key: "lost"},
		pick{key: "lost-in-a-win"}, pick{key: "not-tagged"}, pick{key: "kept", as: sample})}
	return t, nil
}
