package main

import (
	"context"
	"fmt"
	"strconv"

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
	f, ok := in.registry.Find("read")
	if !ok {
		return statsView{}, fmt.Errorf("no fact read")
	}
	seen := seenBy(f, in.season.Vocabulary, stats.Readers(in.reps))
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
		sheet: sheet{heading: append(append(append(append([]string{"rusher", "read", "term", "there", "not-his-job"},
			rateHeading("taken")...), rateHeading("won-taken")...), rateHeading("won-missed")...), "pays", "pays-low", "pays-high", "p")},
	}
	b := block{columns: []column{
		{title: "read", least: 20, fold: true},
		{title: "there", right: true},
		{title: "taken", right: true},
		{title: "won, taken", right: true},
		{title: "won, not", right: true},
		{title: "paid per 100"},
	}}
	unjudged, notHis := 0, 0
	for i, of := range result {
		if i > 0 {
			b.rows = append(b.rows, []string{"rusher=" + of.Rusher})
		}
		shown := false
		for _, r := range of.Reads {
			if r.There == 0 && i > 0 {
				continue
			}
			var pays, low, high, p any
			paid := ""
			if r.Pays != nil {
				pays, low, high, p = r.Pays.D, r.Pays.Low, r.Pays.High, r.Pays.P
				paid = fmt.Sprintf("%+.0f (%+.0f to %+.0f)", 100*r.Pays.D, 100*r.Pays.Low, 100*r.Pays.High)
				v.comparisons++
			}
			v.sheet.add(append(append(append(append([]any{of.Rusher, r.Name, missedTerm(r.Name), r.There, r.NotHis},
				rateCells(r.Taken)...), rateCells(r.WonTaken)...), rateCells(r.WonMissed)...), pays, low, high, p)...)
			if i == 0 {
				unjudged += r.Taken.Unknown
				notHis += r.NotHis
			}
			if r.There == 0 {
				continue
			}
			shown = true
			b.rows = append(b.rows, []string{
				missedTerm(r.Name), strconv.Itoa(r.There), countWords(r.Taken.Count),
				countWords(r.WonTaken.Count), countWords(r.WonMissed.Count), paid,
			})
		}
		if !shown && i > 0 {
			b.rows = b.rows[:len(b.rows)-1]
		}
	}
	if len(b.rows) == 0 {
		v.lead = append(v.lead, "No read was there.")
		return v, nil
	}
	v.blocks = []block{b}
	if v.comparisons < len(b.rows) {
		v.notes = append(v.notes, fmt.Sprintf("Where either has fewer than %d reps, nothing is said of what it paid.", stats.Enough))
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
func seenBy(read query.Fact, v *tags.Vocabulary, reps []*tags.Rep) []stats.Seen {
	byName := make(map[string]tags.Read, len(v.Reads))
	for _, rd := range v.Reads {
		byName[rd.Name] = rd
	}
	seen := make([]stats.Seen, len(reps))
	for i, r := range reps {
		seen[i] = seenOf(read, byName, r)
	}
	return seen
}

func seenOf(read query.Fact, byName map[string]tags.Read, r *tags.Rep) stats.Seen {
	s := stats.Seen{Rep: r}
	value, known := read.OfRep(r)
	if !known {
		return s
	}
	s.There = value.([]string)
	there := make([]tags.Read, len(s.There))
	for i, name := range s.There {
		there[i] = byName[name]
	}
	s.Taken, s.Missed, s.Judged = r.ReadsTaken(there)
	return s
}
