package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// readsOf is the reads of one rusher, or of all.
type readsOf struct {
	Rusher string       `json:"rusher"`
	Reads  []stats.Read `json:"reads"`
}

func readsView(_ context.Context, in *statsInput) (statsView, error) {
	names := in.season.Vocabulary.ReadNames()
	seen := seenBy(in.registry, in.season.Vocabulary.Reads, stats.Readers(in.reps))
	result := []readsOf{{stats.All, stats.Reads(seen, names)}}
	byRusher := map[string][]stats.Seen{}
	for _, s := range seen {
		byRusher[s.Rep.Rusher.ID] = append(byRusher[s.Rep.Rusher.ID], s)
	}
	for _, set := range stats.Split(stats.Readers(in.reps), stats.Rusher) {
		result = append(result, readsOf{set.Name, stats.Reads(byRusher[set.Name], names)})
	}
	v := statsView{
		title: "how often there, how often taken, and what that paid",
		who:   stats.ReadersWords,
		lead: []string{
			"Paid is battles won. Each line begins with the term of its reel: trenchcut reel " + missedTerm("…") + " shows those he did not take, " + takenTerm("…") + " those he took, on any play.",
		},
		result: result,
		sheet: sheet{heading: append(append(append(append([]string{"rusher", "read", "term", "there", "unknown", "not-his-job"},
			rateHeading("taken")...), rateHeading("won-taken")...), rateHeading("won-missed")...), "pays", "pays-low", "pays-high", "p")},
	}
	b := block{columns: []column{
		{title: "read", least: 20, fold: true},
		{title: "there", right: true},
		{title: "unknown", right: true},
		{title: "taken", right: true},
		{title: "won, taken", right: true},
		{title: "won, not", right: true},
		{title: "paid per 100"},
	}}
	unknown, unjudged, notHis := 0, 0, 0
	var untold []string // reads that were not there once for certain, and of how many reps it is unknown
	for i, of := range result {
		if i > 0 {
			b.rows = append(b.rows, []string{"rusher=" + of.Rusher})
		}
		shown := false
		for _, r := range of.Reads {
			if r.There == 0 && r.Unknown == 0 && i > 0 {
				continue
			}
			var pays, low, high, p any
			paid := ""
			if r.Pays != nil {
				pays, low, high, p = r.Pays.D, r.Pays.Low, r.Pays.High, r.Pays.P
				paid = fmt.Sprintf("%+.0f (%+.0f to %+.0f)", 100*r.Pays.D, 100*r.Pays.Low, 100*r.Pays.High)
				v.comparisons++
			}
			v.sheet.add(append(append(append(append([]any{of.Rusher, r.Name, missedTerm(r.Name), r.There, r.Unknown, r.NotHis},
				rateCells(r.Taken)...), rateCells(r.WonTaken)...), rateCells(r.WonMissed)...), pays, low, high, p)...)
			if i == 0 {
				unknown += r.Unknown
				unjudged += r.Taken.Unknown
				notHis += r.NotHis
			}
			if r.There == 0 {
				if r.Unknown > 0 && i == 0 {
					untold = append(untold, fmt.Sprintf("%s %d", r.Name, r.Unknown))
				}
				continue
			}
			shown = true
			b.rows = append(b.rows, []string{
				missedTerm(r.Name), strconv.Itoa(r.There), strconv.Itoa(r.Unknown), countWords(r.Taken.Count),
				countWords(r.WonTaken.Count), countWords(r.WonMissed.Count), paid,
			})
		}
		if !shown && i > 0 {
			b.rows = b.rows[:len(b.rows)-1]
		}
	}
	never := "Not there once for certain, and unknown of so many reps: " + strings.Join(untold, ", ") + "."
	if len(b.rows) == 0 {
		v.lead = append(v.lead, "No read was there.")
		if len(untold) > 0 {
			v.notes = []string{never}
		}
		return v, nil
	}
	v.blocks = []block{b}
	if v.comparisons < len(b.rows) {
		v.notes = append(v.notes, fmt.Sprintf("Where either has fewer than %d reps, nothing is said of what it paid.", stats.Enough))
	}
	if unknown > 0 {
		v.notes = append(v.notes, "Unknown: reps of which the tags do not say whether the read was there; it may have been.")
	}
	if len(untold) > 0 {
		v.notes = append(v.notes, never)
	}
	if notHis > 0 {
		v.notes = append(v.notes, plural(notHis, "read")+" there, but not his job: neither taken nor not.")
	}
	if unjudged > 0 {
		v.notes = append(v.notes, plural(unjudged, "read")+" there, but no move tagged: whether he took it is not known.")
	}
	return v, nil
}

func missedTerm(read string) string { return "read-missed=" + read }

func takenTerm(read string) string { return "read-taken=" + read }

// seenBy asks reads of reps.
func seenBy(registry *query.Registry, reads []tags.Read, reps []*tags.Rep) []stats.Seen {
	seen := make([]stats.Seen, len(reps))
	for i, r := range reps {
		seen[i] = seenOf(registry, reads, r)
	}
	return seen
}

func seenOf(registry *query.Registry, reads []tags.Read, r *tags.Rep) stats.Seen {
	s := stats.Seen{Rep: r}
	var there []tags.Read
	for i, said := range registry.ReadsThere(r) {
		switch said {
		case query.Holds:
			there = append(there, reads[i])
			s.There = append(s.There, reads[i].Name)
		case query.Unknown:
			s.Unknown = append(s.Unknown, reads[i].Name)
		}
	}
	s.Taken, s.Missed, s.Judged = r.ReadsTaken(there)
	return s
}
