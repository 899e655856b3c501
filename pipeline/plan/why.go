package plan

import (
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// missed is the reads that were there for a rep and that he did not take.
func (b *builder) missed(r *tags.Rep) []tags.Read {
	if known, ok := b.misses[r]; ok {
		return known
	}
	if b.asks == nil {
		b.asks, b.misses = query.NewRegistry(b.season.Vocabulary, b.season), map[*tags.Rep][]tags.Read{}
	}
	var there, reads []tags.Read
	for i, said := range b.asks.ReadsThere(r) {
		if said == query.Holds {
			there = append(there, b.season.Vocabulary.Reads[i])
		}
	}
	_, names, _ := r.ReadsTaken(there)
	for _, rd := range there {
		if slices.Contains(names, rd.Name) {
			reads = append(reads, rd)
		}
	}
	b.misses[r] = reads
	return reads
}

// whys is a slate for each rep of a take that was not won, of why: its point, and the reads
// that were missed, with what they usually give. A rep of which neither is tagged has none.
func (b *builder) whys(t take) []Entry {
	var entries []Entry
	for _, r := range t.reps {
		won, known := r.Won()
		missed := b.missed(r)
		if won || !known || r.Point == "" && len(missed) == 0 {
			continue
		}
		card := Card{Title: r.Point, Lines: []string{b.rush(r)}}
		if card.Title == "" {
			card.Title = "A read was there"
		}
		for _, rd := range missed {
			card.Lines = append(card.Lines, "Not taken. "+b.readLine(rd))
		}
		one := take{play: t.play, reps: []*tags.Rep{r}}
		chapter := b.chapter(one, "")
		e := b.slate(strings.TrimSpace(chapter)+" why", card, card.read())
		e.Shows, e.Game, e.Play = ShowsWhy, t.play.Game.ID, t.play.Number
		b.tell(&e, one)
		entries = append(entries, e)
	}
	return entries
}
