package report

import (
	"trenchcut/tags"
	"trenchcut/tags/stats"
)

var runColumns = columns[stats.Run]{
	{Column{Key: "rusher", Title: "by player", Doc: "Who defended; all is everybody.", Least: 10}, func(r stats.Run) any { return r.Name }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps that count."}, func(r stats.Run) any { return r.Reps }},
	{Column{Key: "won", Kind: Rate, Unit: "reps", Doc: "Battles won against the blocker.", Least: 11, Fold: true}, func(r stats.Run) any { return r.Won }},
	{Column{Key: "penetration", Kind: Rate, Unit: "reps", Doc: "Reps that got past the blocker: a beat marked, or a tackle for loss.", Least: 11, Fold: true}, func(r stats.Run) any { return r.Penetration }},
	{Column{Key: "stop", Kind: Rate, Unit: "reps", Doc: "Reps with a stop or a tackle for loss.", Least: 11, Fold: true}, func(r stats.Run) any { return r.Stop }},
	{Column{Key: "edge", Kind: Rate, Unit: "reps", Doc: "Reps that set or kept the edge, of those that had it; nothing where no contain is tagged, since none is lost then.", Least: 11, Fold: true}, func(r stats.Run) any { return r.Edge }},
}

// partRow is how many reps of one rusher fall under one name.
type partRow struct {
	rusher, by string
	stats.Part
}

var partColumns = columns[partRow]{
	{Column{Key: "rusher", Doc: "Who defended; all is everybody."}, func(r partRow) any { return r.rusher }},
	{Column{Key: "by", Doc: "Whether the row is an outcome, or how a rep was lost."}, func(r partRow) any { return r.by }},
	{Column{Key: "name", Doc: "The outcome, or how."}, func(r partRow) any { return r.Name }},
	{Column{Key: "reps", Kind: Number, Unit: "reps", Doc: "Reps with it."}, func(r partRow) any { return r.Reps }},
}

func runTable(r *Request) (Table, error) {
	runs := stats.Runs(r.Reps, r.Season.Vocabulary)
	var outcomes, how []partRow
	for _, run := range runs {
		outcomes = append(outcomes, partRows(run.Name, "outcome", run.Outcomes)...)
		how = append(how, partRows(run.Name, "lost how", run.How)...)
	}
	t := Table{
		Title: "what he did against the run",
		Who:   stats.RunFitsWords + ". Penetration is a beat marked, or a tackle for loss; edge is of the reps that had it",
		Grids: []Grid{runColumns.grid("", runs), partColumns.grid("outcomes", append(outcomes, how...))},
	}
	all := runs[0]
	if all.Reps == 0 {
		t.Lead = append(t.Lead, noneCount)
		return t, nil
	}
	t.Blocks = []Block{
		runColumns.block(runs, pick{key: "rusher"}, pick{key: "reps"}, pick{key: "won", as: joined, title: "won per 100"}, pick{key: "penetration", as: joined},
			pick{key: "stop", as: joined}, pick{key: "edge", as: joined}, pick{key: "won", as: sample, with: []string{"penetration", "stop", "edge"}}),
		partColumns.block(partRows(all.Name, "outcome", all.Outcomes), pick{key: "name", title: "by outcome"}, pick{key: "reps"}),
		partColumns.block(partRows(all.Name, "lost how", all.How), pick{key: "name", title: "lost how"}, pick{key: "reps"}),
	}
	t.Notes = append(t.Notes, boundsWords("won", all.Won)...)
	if words := boundsWords(penetration, all.Penetration); words != nil {
		t.Notes = append(t.Notes, words...)
	} else if all.Penetration.Unknown > 0 {
		t.Notes = append(t.Notes, "Of "+tags.Count(all.Penetration.Unknown, "rep")+" it is not known whether he penetrated, because "+unmarkedWin.because+".")
	}
	return t, nil
}

func partRows(rusher, by string, parts []stats.Part) []partRow {
	rows := make([]partRow, len(parts))
	for i, p := range parts {
		rows[i] = partRow{rusher, by, p}
	}
	return rows
}
