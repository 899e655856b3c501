// Package listing lists the reps or plays that a query chose: as tables, CSV and JSON, sorted and
// in groups.
package listing

import (
	"cmp"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/report"
)

// List is what a query chose of a season.
type List struct {
	query.Unjudged
	Noun  string // "rep" or "play"
	Among int    // how many were looked at

	columns []report.Heading
	shown   []string // the facts that the columns tell
	rows    [][]string
	games   []*tags.Game // of each row
	facts   []query.Fact // that are written out
	values  func(row int, f query.Fact) (any, bool)

	sorted bool // by other than film order
	by     []query.Fact
	groups []group
}

// Len is how many reps or plays were chosen.
func (l *List) Len() int { return len(l.rows) }

func (l *List) add(g *tags.Game, row []string) {
	l.games = append(l.games, g)
	l.rows = append(l.rows, row)
}

// Blocks is the list as text: under the name of each game, or in one table where it is sorted;
// where it is grouped, how many there are of each group, then the rows under its name.
func (l *List) Blocks() []report.Block {
	switch {
	case len(l.rows) == 0:
		return nil
	case l.by != nil:
		return l.groupBlocks()
	case l.sorted:
		return []report.Block{{Headings: l.columns, Rows: l.rows}}
	}
	rows := make([][]string, 0, len(l.rows)+len(l.rows)/16)
	for i, row := range l.rows {
		if g := l.games[i]; i == 0 || g != l.games[i-1] {
			rows = append(rows, []string{strings.Join(strings.Fields(g.ID+" "+g.Date+" "+g.Opponent), " ")})
		}
		rows = append(rows, row)
	}
	return []report.Block{{Headings: l.columns, Rows: rows}}
}

// Reps is the reps that q chooses.
func Reps(q *query.Query, season *tags.Season) *List {
	result := q.Reps(season)
	list := &List{
		Unjudged: result.Unjudged, Noun: "rep", Among: len(season.Reps()), facts: outFacts(q, false),
		values: func(row int, f query.Fact) (any, bool) { return f.OfRep(result.Reps[row]) },
		columns: []report.Heading{
			{Title: "rep"},
			{Title: "clock", Right: true, Spare: 1},
			{Title: "down", Spare: 3},
			{Title: "player", Least: 7},
			{Title: "align", Spare: 2},
			{Title: "moves", Least: 12, Fold: true, Spare: 5},
			{Title: "set", Spare: 4},
			{Title: "outcome", Least: 9},
		},
		shown: []string{"rep", "game", "date", "quarter", "clock", "down", "distance", "rusher", "align", "sequence", "set", "outcome"},
	}
	// What the word itself says: that another of his words was pressure is no news of this one.
	wins := []string{"won"}
	for _, w := range season.Vocabulary.List("outcome").Words {
		if w.IsPressure() {
			wins = append(wins, w.Name)
		}
	}
	list.columns[len(list.columns)-1].Wins = wins
	list.games, list.rows = make([]*tags.Game, 0, len(result.Reps)), make([][]string, 0, len(result.Reps))
	for _, r := range result.Reps {
		outcome := r.Outcome
		if outcome == "" {
			outcome = r.Battle
		}
		list.add(r.Play.Game, []string{
			within(r.Play.Game, r.Name()), when(r.Play), r.Play.DownAndDistance(), cmp.Or(r.Rusher.Name, r.Rusher.Shown()),
			r.Align, r.Sequence(), r.Set, outcome,
		})
	}
	return list
}

// Plays is the plays that q chooses.
func Plays(q *query.Query, season *tags.Season) *List {
	result := q.Plays(season)
	list := &List{
		Unjudged: result.Unjudged, Noun: "play", Among: len(season.Plays()), facts: outFacts(q, true),
		values: func(row int, f query.Fact) (any, bool) { return f.OfPlayAlone(result.Plays[row]) },
		columns: []report.Heading{
			{Title: "play"},
			{Title: "clock", Right: true, Spare: 1},
			{Title: "down", Spare: 3},
			{Title: "type"},
			{Title: "front", Least: 5},
			{Title: "protection", Spare: 2},
			{Title: "rushers", Least: 12, Fold: true},
		},
		shown: []string{"play", "game", "date", "quarter", "clock", "down", "distance", "type", "front", "protection"},
	}
	for _, p := range result.Plays {
		var rushers []string
		for _, r := range p.Reps {
			rushers = append(rushers, r.Rusher.Number())
		}
		list.add(p.Game, []string{
			within(p.Game, p.Name()), when(p), p.DownAndDistance(), p.Type,
			p.Front, p.Protection, strings.Join(rushers, " "),
		})
	}
	return list
}

// outFacts is the facts that are written out; an empty cell says itself what is not tagged.
func outFacts(q *query.Query, ofPlays bool) []query.Fact {
	var facts []query.Fact
	for _, f := range q.Registry().Facts {
		if f.Name != "tagged" && (f.OfPlay || !ofPlays) {
			facts = append(facts, f)
		}
	}
	return facts
}

func number(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// within is the name of a play or rep under its game's heading: p014-91.
func within(g *tags.Game, name string) string { return strings.TrimPrefix(name, g.ID+"-") }

// when is "1 11:32": the quarter and what was left of it.
func when(p *tags.Play) string { return strings.TrimSpace(number(p.Quarter) + " " + p.Clock) }
