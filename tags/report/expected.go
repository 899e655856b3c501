package report

import (
	"fmt"
	"math"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

var beyondColumns = columns[stats.Beyond]{
	{Column{Key: "rusher", Doc: "Who rushed.", Least: 12, Fold: true}, func(b stats.Beyond) any { return b.Name }},
	{Column{Key: "won", Kind: Rate, Unit: "reps", Doc: "Battles won."}, func(b stats.Beyond) any { return stats.Rate{Count: b.Won} }},
	{Column{Key: "expected", Kind: Decimal, Unit: "reps", Doc: "Battles that the situations he was in give."}, func(b stats.Beyond) any { return tenths(b.Expected) }},
	{Column{Key: "over", Title: "over it, of 100 (95 %)", Kind: Interval, Unit: "share", Doc: "Battles won less those expected, of each rush; the interval goes by how far his games lie apart.", words: signedWords(100, 0)}, func(b stats.Beyond) any {
		return estimateOf(b.Over)
	}},
}

var givesColumns = columns[stats.Gives]{
	{Column{Key: "fact", Doc: "Which fact of the situation."}, func(g stats.Gives) any { return g.Fact }},
	{Column{Key: "value", Title: "in", Doc: "Its value.", Least: 12}, func(g stats.Gives) any { return g.Fact + " " + g.Value }},
	{Column{Key: "usual", Title: "beside", Doc: "The value it is held against, the most frequent.", Least: 8}, func(g stats.Gives) any { return g.Usual }},
	{Column{Key: "won", Kind: Rate, Unit: "reps", Doc: "Battles won in it."}, func(g stats.Gives) any { return stats.Rate{Count: g.Won} }},
	{Column{Key: "odds", Title: "odds of a win, times", Kind: Interval, Doc: "How many times the odds of a win in the usual one are those in it, all else alike.", words: timesWords}, func(g stats.Gives) any {
		return Estimate{&g.Odds.At, &g.Odds.Low, &g.Odds.High}
	}},
}

func timesWords(e Estimate) string { return fmt.Sprintf("%.2f (%.2f-%.2f)", *e.At, *e.Low, *e.High) }

// tenths is a number that may not be known, to one place.
func tenths(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(math.Round(10**x) / 10)
}

func expectedChart(r *Request, _ string) (Chart, error) {
	e := r.scope().ExpectedOf(r.Reps)
	rows := make([]Point, len(e.Men))
	for i, m := range e.Men {
		count := m.Won.Words()
		if x := tenths(m.Expected); x != nil {
			count += fmt.Sprintf(", %.1f expected", *x)
		}
		rows[i] = Point{m.Name, count, estimated(m.Over)}
	}
	c := r.pointsChart("Battles won over what the situation gives, of 100 rushes", r.scope().CountedWords(), true, rows)
	if e.Why != "" {
		c.Lines = append(c.Lines, saysNothing(e.Why))
	}
	return c, nil
}

func expectedTable(r *Request) (Table, error) {
	e := r.scope().ExpectedOf(r.Reps)
	t := Table{
		ownModel: true,
		Title:    "battles won over what the situation gives",
		Who:      r.scope().CountedWords() + "; with set, help, alignment, down, blocker and battle tagged",
		Lead:     []string{"Some situations are won more often than others, whoever rushes. Expected is how many of his battles an average man of this room wins in the situations he was in, against the blockers he met."},
		Grids:    []Grid{beyondColumns.grid("", e.Men), givesColumns.grid("situations", e.Gives)},
	}
	if e.LeftOut > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("%s left out, of which one of those is not tagged.", tags.Count(e.LeftOut, "rep")))
	}
	if e.Why != "" {
		t.Lead = append(t.Lead, saysNothing(e.Why))
		t.Blocks = []Block{beyondColumns.block(e.Men, pick{key: "rusher"}, pick{key: "won", as: count})}
		return t, nil
	}
	t.Blocks = []Block{
		beyondColumns.block(e.Men, pick{key: "rusher"}, pick{key: "won", as: count}, pick{key: "expected"}, pick{key: "over"}),
		givesColumns.block(e.Gives, pick{key: "value"}, pick{key: "usual"}, pick{key: "won", as: count}, pick{key: "odds"}),
	}
	t.Notes = append(t.Notes,
		fmt.Sprintf("The model: logistic regression of %s on those situations, with a strength of its own for each of %d blockers.", tags.Count(e.Reps, "rep"), e.Blockers),
		fmt.Sprintf("Over it: nothing is said under %d reps or %d games. How good his teammates are is in what is expected.", stats.Enough, stats.LeastGames))
	return t, nil
}
