package plan

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Subject is a key of the vocabulary that a recipe is about one word of.
type Subject string

// AboutMove is a reel about one move: what it is, what calls for it, how it is practised.
const AboutMove Subject = "move"

// Told is what a slate tells of the reel's technique.
type Told string

// What may be told.
const (
	ToldReads  Told = "reads"  // that call for it
	ToldDrills Told = "drills" // by which it is practised
)

// AboutError says that terms do not name the one technique that a recipe is about.
type AboutError struct {
	Subject Subject
	Named   []string // by the terms
	Known   []string
}

func (e *AboutError) Error() string {
	said := "none was named"
	if len(e.Named) > 0 {
		said = fmt.Sprintf("%d were named, %s", len(e.Named), strings.Join(e.Named, " and "))
	}
	return fmt.Sprintf("the recipe is about one %s, and %s: ask with one term, such as %s=%s; there are %s",
		e.Subject, said, e.Subject, e.Known[0], strings.Join(e.Known, ", "))
}

// Technique is the word that the recipe's terms name, where it is about one: nil where it is
// about none. Its error is [AboutError].
func (r Recipe) Technique(v *tags.Vocabulary) (*tags.Word, error) {
	if r.About == "" {
		return nil, nil
	}
	list := v.List(string(r.About))
	var words []tags.Word
	for _, term := range r.Choose {
		values, ok := strings.CutPrefix(term, string(r.About)+"=")
		if !ok {
			continue
		}
		named, _ := tags.TermValues(values) // what is wrong with the term is told where it is read
		for _, name := range named {
			w, known := list.Find(name.Text)
			if known && !slices.ContainsFunc(words, func(o tags.Word) bool { return o.Name == w.Name }) {
				words = append(words, w)
			}
		}
	}
	if len(words) != 1 {
		e := &AboutError{Subject: r.About, Known: list.Names()}
		for _, w := range words {
			e.Named = append(e.Named, w.Name)
		}
		return nil, e
	}
	return &words[0], nil
}

// TitleOf is how a reel about a technique is called.
func (r Recipe) TitleOf(w *tags.Word, v *tags.Vocabulary) string {
	label := []rune(v.Label(string(r.About), w.Name))
	return strings.ToUpper(string(label[:1])) + string(label[1:])
}

// told is the slate of a section that tells of the technique, or none where there is
// nothing to tell.
func (b *builder) told(p Part) []Entry {
	card := Card{Title: p.Title}
	switch p.Slate {
	case ToldReads:
		for _, rd := range b.season.Vocabulary.Reads {
			if rd.CallsFor(*b.about) {
				card.Lines = append(card.Lines, b.readLine(rd))
			}
		}
	case ToldDrills:
		card.Lines = b.about.Drills
		if b.about.Common && len(card.Lines) > 0 {
			card.Small = []string{"Common practice. A qualified coach leads each drill."}
		}
	}
	if len(card.Lines) == 0 {
		why := "no read asks for " + b.about.Name
		if p.Slate == ToldDrills {
			why = fmt.Sprintf("the vocabulary has no drills of %s, as in words: {move: [{%s: {drills: [\"…\"]}}]}", b.about.Name, b.about.Name)
		}
		b.leaveOut(fmt.Sprintf("section %q", p.Title), why)
		return nil
	}
	e := b.slate(p.Title, card, card.read())
	e.Shows = ShowsTold
	return []Entry{e}
}

// readLine is a read as a slate says it: "Short set: both ways are open."
func (b *builder) readLine(rd tags.Read) string {
	line := tags.Capital(tags.Spoken(rd.Name))
	if rd.Why != "" {
		line += ": " + rd.Why
	}
	return line
}

// Few is a section that shows fewer plays than it should.
type Few struct {
	Section string `json:"section"` // its title; empty of a reel without sections
	Plays   int    `json:"plays"`
	Least   int    `json:"least"`
}

func (f Few) String() string {
	if f.Section == "" {
		return fmt.Sprintf("%d of %d", f.Plays, f.Least)
	}
	return fmt.Sprintf("%s: %d of %d", f.Section, f.Plays, f.Least)
}

// few notes a part that shows fewer plays than it should.
func (b *builder) few(p Part, plays int) {
	if plays < p.Least {
		b.plan.Few = append(b.plan.Few, Few{p.Title, plays, p.Least})
	}
}

// None lists the sections that want a least number of plays, each as showing none.
func (r Recipe) None() []Few {
	b := builder{plan: &Plan{}}
	for _, s := range r.Parts() {
		b.few(Part{Section: s}, 0)
	}
	return b.plan.Few
}
