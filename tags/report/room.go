package report

import (
	"cmp"
	"fmt"
	"slices"

	"trenchcut/tags"
	"trenchcut/tags/stats"
	"trenchcut/tags/stats/fit"
)

// roomRow is one rate of one man.
type roomRow struct {
	rate string
	stats.Behind
}

var roomColumns = columns[roomRow]{
	{Column{Key: "rate", Doc: "Which rate: won, or pressure."}, func(r roomRow) any { return r.rate }},
	{Column{Key: "rusher", Doc: "Who rushed.", Least: 12, Fold: true}, func(r roomRow) any { return r.Name }},
	{Column{Key: "count", Title: "his own", Kind: Rate, Unit: "reps", Doc: "His own reps."}, func(r roomRow) any { return r.Rate }},
	{Column{Key: "likely", Title: "likely of 100 (95 %)", Kind: Interval, Unit: "share", Doc: "What his rate is likely to be, with the room's film behind his own.", words: per100Words}, func(r roomRow) any {
		return estimateOf(r.Likely)
	}},
	{Column{Key: "sentence", Doc: "What that lets one say."}, func(r roomRow) any { return r.Sentence(r.rate) }},
}

// estimateOf is a figure of a model; nil where there is none.
func estimateOf(e *fit.Estimate) any {
	if e == nil {
		return nil
	}
	return estimated(e)
}

// per100Words is "41 (27-56)", of shares.
func per100Words(e Estimate) string {
	if e.At == nil {
		return ""
	}
	return rounded(e, 100)
}

// saysNothing is said of a table that the film does not carry.
func saysNothing(why string) string { return "This film does not carry it: " + why + "." }

// roomOf is what a chart of the room may be of.
var roomOf = []string{"won", "pressure"}

func roomChart(r *Request, of string) (Chart, error) {
	of = cmp.Or(of, roomOf[0])
	var rows []Point
	why := noneCount
	for _, room := range r.scope().Rooms(r.Reps) {
		if room.Rate != of {
			continue
		}
		if room.Why != "" {
			why = saysNothing(room.Why)
		}
		for _, m := range room.Men {
			rows = append(rows, Point{m.Name, m.Words(), estimated(m.Likely)})
		}
	}
	c := r.pointsChart(tags.Capital(of)+", with the room's film behind each man", r.scope().CountedWords(), false, rows)
	if !slices.ContainsFunc(rows, func(p Point) bool { return p.At != nil }) {
		c.Lines = append(c.Lines, why)
	}
	return c, nil
}

func roomTable(r *Request) (Table, error) {
	t := Table{
		ownModel: true,
		Title:    "each man's rate with the room's film behind it",
		Who:      r.scope().CountedWords(),
		Lead:     []string{"Few reps of one man swing far by chance. The likely figure counts the room's reps beside his own, the fewer he has the more: it says what to expect of him, his own count what he did."},
	}
	var all []roomRow
	for _, room := range r.scope().Rooms(r.Reps) {
		var rows []roomRow
		for _, m := range room.Men {
			rows = append(rows, roomRow{room.Rate, m})
		}
		all = append(all, rows...)
		if len(rows) == 0 {
			continue
		}
		picks := []pick{{key: "rusher", title: room.Rate}, {key: "count", as: count}, {key: "count", as: rate}}
		if room.Why == "" {
			picks = append(picks, pick{key: "likely"})
		}
		b := roomColumns.block(rows, picks...)
		switch {
		case room.Why != "":
			b.Said = []string{saysNothing(room.Why)}
		case room.Weight > 0:
			b.Said = []string{rows[0].Sentence(room.Rate), fmt.Sprintf("The room counts for about %.0f rushes beside a man's own.", room.Weight)}
		default:
			b.Said = []string{rows[0].Sentence(room.Rate), "These men differ by no more than chance makes men differ, so the room counts for much."}
		}
		t.Blocks = append(t.Blocks, b)
	}
	t.Grids = []Grid{roomColumns.grid("", all)}
	if len(all) == 0 {
		t.Lead = append(t.Lead, noneCount)
	}
	if slices.ContainsFunc(all, func(r roomRow) bool { return r.Likely != nil }) {
		t.Notes = append(t.Notes, "The model: true rates of a room's men are spread round one middle (beta-binomial); reps of one game are alike, so they count for as many fewer as games differ more than chance makes them. The interval is of his true rate, not of what the next game brings.")
	}
	return t, nil
}
