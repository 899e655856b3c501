package report

import (
	"fmt"

	"trenchcut/tags/stats"
)

var worthColumns = columns[stats.Worth]{
	{Column{Key: "read", Title: "each man beside himself", Doc: "The read's name.", Least: 12, Fold: true}, func(w stats.Worth) any { return w.Read }},
	{Column{Key: "men", Kind: Number, Unit: "men", Doc: "Men who both took it and did not."}, func(w stats.Worth) any { return w.Men }},
	{Column{Key: "won-taken", Title: "won, taken", Kind: Rate, Unit: "reps", Doc: "Battles those men won where they took it."}, func(w stats.Worth) any { return stats.Rate{Count: w.Taken} }},
	{Column{Key: "won-other", Title: "won, not", Kind: Rate, Unit: "reps", Doc: "Battles those men won where they did not."}, func(w stats.Worth) any { return stats.Rate{Count: w.Other} }},
	{Column{Key: "more", Title: "more won of 100", Kind: Interval, Unit: "share", Doc: "How much more often a man won where he took it, put together over men (Mantel and Haenszel).", words: signedWords(100, 0)}, func(w stats.Worth) any {
		return estimateOf(w.More)
	}},
	{Column{Key: "odds", Kind: Interval, Doc: "How many times the odds of a win are those without, likewise.", words: timesWords}, func(w stats.Worth) any {
		return estimateOf(w.Odds)
	}},
}

// worthBlock is what reads are worth with each man held against himself: as text those of
// which there is a man to hold, and as data all.
func worthBlock(byRusher map[string][]stats.Seen, rushers []stats.Set, names []string) (Block, Grid) {
	seen := make([][]stats.Seen, len(rushers))
	for i, s := range rushers {
		seen[i] = byRusher[s.Name]
	}
	all := stats.Worths(seen, names)
	var rows []stats.Worth
	said := 0
	for _, w := range all {
		if w.Men > 0 {
			rows = append(rows, w)
		}
		if w.More != nil {
			said++
		}
	}
	b := worthColumns.block(rows, pick{key: "read"}, pick{key: "men"}, pick{key: "won-taken", as: count}, pick{key: "won-other", as: count}, pick{key: "more"})
	b.figures, b.comparisons = 0, said // a read taken against one not taken compares two
	if said < len(rows) {
		b.Said = []string{fmt.Sprintf("Where either has fewer than %d reps, or the film is of fewer than %d games, or one game decides it, nothing is said.", stats.Enough, stats.LeastGames)}
	}
	return b, worthColumns.grid("worth", all)
}
