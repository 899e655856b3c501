package report

import (
	"fmt"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// readRow is what one read came to for one rusher, or for all.
type readRow struct {
	rusher string
	stats.Read
}

var readColumns = columns[readRow]{
	{Column{Key: "rusher", Doc: "Who rushed; all is everybody."}, func(r readRow) any { return r.rusher }},
	{Column{Key: "read", Doc: "The read's name.", Least: 9, Fold: true}, func(r readRow) any { return r.Name }},
	{Column{Key: "there", Kind: Number, Unit: "reps", Doc: "Reps it was there for."}, func(r readRow) any { return r.There }},
	{Column{Key: "unknown", Kind: Number, Unit: "reps", Doc: "Reps of which the tags do not say whether it was there."}, func(r readRow) any { return r.Unknown }},
	{Column{Key: "not-his-job", Kind: Number, Unit: "reps", Doc: "Reps it was there for, but not his job."}, func(r readRow) any { return r.NotHis }},
	{Column{Key: "taken", Kind: Rate, Unit: "reps", Doc: "Reps that took it."}, func(r readRow) any { return r.Taken }},
	{Column{Key: "missed", Kind: Number, Unit: "reps", Doc: "Reps that did not take it and did not win, and of which the coach has said nothing."}, func(r readRow) any { return r.Missed }},
	{Column{Key: "won-taken", Title: "won, taken", Kind: Rate, Unit: "reps", Doc: "Battles won of the reps that took it."}, func(r readRow) any { return r.WonTaken }},
	{Column{Key: "won-other", Title: "won, not", Kind: Rate, Unit: "reps", Doc: "Battles won of the reps that did not."}, func(r readRow) any { return r.WonOther }},
	{Column{Key: "pays", Title: "more won of 100", Kind: Gap, Unit: "share", Doc: "How much more often those won that took it."}, func(r readRow) any { return r.Pays }},
	{Column{Key: "borne-out", Title: "does it pay", Doc: "What the film says of that: yes; no, the other way; not shown; too few.", Least: 9, Fold: true}, func(r readRow) any { return string(r.Verdict()) }},
}

func readsChart(r *Request, _ string) (Chart, error) {
	var rows []Point
	for _, read := range stats.Reads(r.seenReads(), r.Season.Vocabulary.ReadNames()) {
		if read.There == 0 {
			continue
		}
		p := Point{Name: tags.Spoken(read.Name), Count: fmt.Sprintf("%s taken, %s not", read.WonTaken.Words(), read.WonOther.Words())}
		if d := read.Pays; d != nil {
			gap, _, _ := d.Per100() // as the table tells it
			told := float64(gap) / 100
			p.Estimate = Estimate{&told, &d.Low, &d.High}
		}
		rows = append(rows, p)
	}
	return r.pointsChart("What followed a read that was taken: more battles won, of 100", stats.ReadersWords, true, rows), nil
}

func readsTable(r *Request) (Table, error) {
	names := r.Season.Vocabulary.ReadNames()
	readers := stats.Readers(r.Reps)
	seen := r.seenReads()
	rushers := stats.Split(readers, stats.Rusher)
	byRusher := make(map[string][]stats.Seen, len(rushers))
	for _, set := range rushers {
		byRusher[set.Name] = make([]stats.Seen, 0, len(set.Reps))
	}
	for _, s := range seen {
		name := s.Rep.Rusher.Called()
		byRusher[name] = append(byRusher[name], s)
	}
	all := stats.Reads(seen, names)
	t := Table{
		Title: "how often there, how often taken, and whether that pays",
		Who:   stats.ReadersWords,
		Lead: []string{
			"A read is what usually pays (common practice). What followed it on this film is battles won where it was taken, less those won where it was not, with the interval of that difference. That is not what taking it would bring: who takes a read, and against whom, is no accident, so name one man to compare like with like.",
			"Missed: not taken and not won. Who won has missed nothing, and where the coach has written a point or a note, that holds instead.",
		},
	}
	if by := chosenByMove(r.Query); by != nil {
		t.Lead = append(t.Lead, fmt.Sprintf("Reps are chosen by %s: how often a read was taken says no more than that.", tags.Both(by)))
	}
	var rows []readRow
	var b Block
	add := func(rusher string, reads []stats.Read, heading []string) {
		var there []readRow
		for _, read := range reads {
			row := readRow{rusher, read}
			if heading == nil || read.There > 0 || read.Unknown > 0 {
				rows = append(rows, row)
			}
			if read.There > 0 {
				there = append(there, row)
			}
		}
		of := readColumns.block(there, pick{key: "read"}, pick{key: "there"}, pick{key: "unknown"}, pick{key: "taken", as: count}, pick{key: "missed"},
			pick{key: "won-taken", as: count}, pick{key: "won-other", as: count}, pick{key: "pays"}, pick{key: "borne-out"})
		b.Headings = of.Headings
		if heading != nil && len(there) > 0 {
			b.Rows = append(b.Rows, heading)
		}
		b.Rows = append(b.Rows, of.Rows...)
		b.comparisons += of.comparisons
	}
	add(stats.All, all, nil)
	for _, set := range rushers {
		add(set.Name, stats.Reads(byRusher[set.Name], names), []string{set.Name})
	}
	worth, grid := worthBlock(byRusher, rushers, names)
	t.Grids = []Grid{readColumns.grid("", rows), grid}
	if len(b.Rows) == 0 {
		t.Lead = append(t.Lead, "No read was there.")
	} else {
		t.Blocks = []Block{b, worth}
		if b.comparisons < len(b.Rows) {
			t.Notes = append(t.Notes, fmt.Sprintf("Where either has fewer than %d reps, nothing is said of what it paid.", stats.Enough))
		}
	}
	t.Notes = append(t.Notes, readNotes(all, len(b.Rows) > 0)...)
	return t, nil
}

// chosenByMove is the facts of what he did that q chooses by, which settle what he took.
func chosenByMove(q *query.Query) []string {
	var asked []string
	for _, name := range append([]string{"first-move", "first-family"}, q.DuringTerms()...) {
		if q.AsksFor(name) {
			asked = append(asked, tags.Spoken(name))
		}
	}
	return asked
}

// readNotes is what is not known of reads, those of all rushers; where none was there, no
// more than that.
func readNotes(reads []stats.Read, any bool) []string {
	unknown, unjudged, notHis := 0, 0, 0
	var never []string // reads that were not there once for certain, and of how many reps it is unknown
	for _, r := range reads {
		unknown += r.Unknown
		unjudged += r.Taken.Unknown
		notHis += r.NotHis
		if r.There == 0 && r.Unknown > 0 {
			never = append(never, fmt.Sprintf("%s %d", r.Name, r.Unknown))
		}
	}
	var notes []string
	if unknown > 0 && any {
		notes = append(notes, "Unknown: reps of which the tags do not say whether the read was there; it may have been.")
	}
	if len(never) > 0 {
		notes = append(notes, "Not there once for certain, and unknown of so many reps: "+strings.Join(never, ", ")+".")
	}
	if notHis > 0 {
		notes = append(notes, tags.Count(notHis, "read")+" there, but not his job: neither taken nor not.")
	}
	if unjudged > 0 {
		notes = append(notes, tags.Count(unjudged, "read")+" there, but no move tagged: whether he took it is not known.")
	}
	return notes
}

// seenBy asks reads of reps.
func seenBy(registry *query.Registry, reads []tags.Read, reps []*tags.Rep) []stats.Seen {
	seen := make([]stats.Seen, len(reps))
	for i, r := range reps {
		s := stats.Seen{Rep: r}
		var there []tags.Read
		for n, said := range registry.ReadsThere(r) {
			switch said {
			case query.Holds:
				there = append(there, reads[n])
				s.There = append(s.There, reads[n].Name)
			case query.Unknown:
				s.Unknown = append(s.Unknown, reads[n].Name)
			}
		}
		s.Taken, s.Others, s.Judged = r.Answered(there)
		s.Missed, _ = r.Missed(s.Others)
		seen[i] = s
	}
	return seen
}
