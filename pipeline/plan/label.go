package plan

import (
	"fmt"
	"strings"

	"trenchcut/tags"
)

// labels is the layers of a play: the situation until reveal, then what became of it.
// Reveal is the first source frame after the play.
func (b *builder) labels(t take, s Segment, reveal tags.Frame) []Layer {
	turn := tags.Span{In: s.Span.In, Out: reveal}
	at := min(s.House.Rate.Ceil(s.Source.Rate.Duration(turn.Len())), s.Frames())
	if len(t.reps) == 0 || b.recipe.Reveal == RevealBefore {
		at = 0
	}
	before := Label{Lead: situation(t.play), Lines: b.lines(t, false)}
	after := Label{Lead: situation(t.play), Lines: b.lines(t, true)}
	var layers []Layer
	for _, l := range []Layer{{before, tags.Span{In: 0, Out: at}}, {after, tags.Span{In: at, Out: s.Frames()}}} {
		if l.Span.Len() > 0 {
			layers = append(layers, l)
		}
	}
	return layers
}

// situation is "3rd & 8", with what else the play says of when it was.
func situation(p *tags.Play) string {
	var parts []string
	if p.Down != nil {
		down := []string{"1st", "2nd", "3rd", "4th"}[*p.Down-1]
		if p.Distance != nil {
			down += fmt.Sprintf(" & %d", *p.Distance)
		}
		parts = append(parts, down)
	}
	parts = append(parts, fmt.Sprintf("Play %d", p.Number))
	if p.Quarter != nil {
		q := fmt.Sprintf("Q%d", *p.Quarter)
		if *p.Quarter > 4 {
			q = "OT"
		}
		if p.Clock != "" {
			q += " " + p.Clock
		}
		parts = append(parts, q)
	}
	return strings.Join(parts, separator)
}

const separator = " · "

// maxReps is how many reps a label names before it counts the rest.
const maxReps = 3

func (b *builder) lines(t take, told bool) []string {
	if len(t.reps) == 0 {
		line := b.word("type", t.play.Type)
		if t.play.Call != "" {
			line += separator + t.play.Call
		}
		return nonEmpty(line)
	}
	var lines []string
	for i, r := range t.reps {
		if i == maxReps-1 && len(t.reps) > maxReps {
			return append(lines, fmt.Sprintf("and %d more", len(t.reps)-i))
		}
		line := b.rush(r)
		if told {
			line = b.result(r)
		}
		lines = append(lines, line)
	}
	return lines
}

// rush is who rushed from where, with which moves against which set.
func (b *builder) rush(r *tags.Rep) string {
	who := r.Rusher.Shown()
	if at := strings.TrimSpace(b.word("align", r.Align) + " " + b.word("side", r.Side)); at != "" {
		who += ", " + at
	}
	parts := []string{who}
	if s := b.sequence(r); s != "" {
		parts = append(parts, s)
	}
	if r.Stunt != "" {
		parts = append(parts, b.word("stunt", r.Stunt)+" "+b.word("job", r.Job))
	}
	switch {
	case r.Set != "":
		parts = append(parts, b.word("set", r.Set)+" set")
	case r.Block != "":
		parts = append(parts, b.word("block", r.Block)+" block")
	}
	return strings.Join(parts, separator)
}

// result is who rushed and what became of it.
func (b *builder) result(r *tags.Rep) string {
	parts := []string{r.Rusher.Shown()}
	if r.Battle != "" {
		parts = append(parts, b.word("battle", r.Battle))
	}
	if r.Outcome != "" {
		parts = append(parts, b.word("outcome", r.Outcome))
	}
	if t, ok := r.TimeToBeat(); ok {
		parts = append(parts, fmt.Sprintf("beat him in %.1f s", t.Seconds()))
	}
	return strings.Join(parts, separator)
}

// sequence is the moves as a room reads them: long arm › up and under.
func (b *builder) sequence(r *tags.Rep) string {
	steps := strings.Split(r.Sequence(), ">")
	for i, s := range steps {
		name, path, _ := strings.Cut(s, "/")
		steps[i] = strings.TrimSpace(b.word("move", name) + " " + path)
	}
	return strings.Join(steps, " › ")
}

func (b *builder) word(key, name string) string { return b.season.Vocabulary.Label(key, name) }

func nonEmpty(lines ...string) []string {
	var out []string
	for _, l := range lines {
		if l != "" {
			out = append(out, l)
		}
	}
	return out
}
