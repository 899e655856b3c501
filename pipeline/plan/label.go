package plan

import (
	"fmt"
	"strings"

	"trenchcut/tags"
)

// readTime is how long a label says all it has where no snap ends it.
const readTime = 3 * tags.Second

// tells returns the first frame of seg that tells the outcome of its play, or the number of its
// frames where none does.
func (b *builder) tells(s shot, seg Segment) tags.Frame {
	if len(s.reps) == 0 {
		return seg.Frames()
	}
	at := seg.House.Rate.Ceil(s.source.Rate.Duration(s.reveal - seg.Span.In))
	return min(max(at, 0), seg.Frames())
}

// labels is what is said of a play: the situation until the snap, one line while they
// rush, so that nothing covers it, and from the first source frame after the play on, what
// became of it.
func (b *builder) labels(s shot, seg Segment) []Layer {
	after := b.label(s, s.reps, func() Label { return Label{Lead: b.situation(s.play), Lines: b.lines(s.take, true)} })
	first := after
	told := b.tells(s, seg)
	if len(s.reps) > 0 && b.recipe.Reveal != RevealBefore {
		first = b.label(s, s.reps, func() Label { return Label{Lead: b.situation(s.play), Lines: b.lines(s.take, false)} })
	}
	brief := b.label(s, s.reps, func() Label { return Label{Lines: nonEmpty(b.brief(s.take))} })
	snap := seg.House.Rate.Ceil(readTime)
	if s.view.Snaps {
		snap = seg.House.Rate.Ceil(-s.at(seg))
	}
	snap = min(max(snap, 0), told)
	var layers []Layer
	for _, l := range []Layer{
		{Span: tags.Span{In: 0, Out: snap}, Label: &first},
		{Span: tags.Span{In: snap, Out: told}, Label: &brief},
		{Span: tags.Span{In: told, Out: seg.Frames()}, Label: &after},
	} {
		if l.Span.Len() > 0 && (l.Label.Tab != "" || l.Label.Lead != "" || len(l.Label.Lines) > 0) {
			layers = append(layers, l)
		}
	}
	return layers
}

// label returns the label that words makes for reps. Where they are one man's, his number stands on
// a tab and not in the text.
func (b *builder) label(s shot, reps []*tags.Rep, words func() Label) Label {
	b.tab = ""
	if len(reps) == 1 && b.says("rusher") && b.naming.number(reps[0]) != "" && reps[0].Rusher.Jersey != "" {
		b.tab = reps[0].Rusher.Jersey
	}
	l := words()
	l.Tab, b.tab = b.tab, ""
	l.Top = l.Top || b.atTop(s)
	return l
}

// called is the rusher of a rep as labels name him: beside a tab, without the number on it.
func (b *builder) called(r *tags.Rep) string {
	who := b.who(r)
	if b.tab == "" {
		return who
	}
	return strings.TrimSpace(strings.TrimPrefix(who, "#"+b.tab))
}

// atTop reports whether labels stand at the top of a shot's picture. A rush seen from the end
// zone comes toward the lower edge where the camera is behind the offense, as most are: the
// men line up in the upper half then. From the side it goes across, so that the label is in
// the half where the man is not. Where no spot is tagged, on the play or else in the game on
// that angle, the top is taken: a pocket is never deeper than the picture's upper corner.
func (b *builder) atTop(s shot) bool {
	at, known := s.spot()
	switch {
	case !known:
		return true
	case s.view.Angle == "sideline":
		return at.Y >= .5
	default:
		return at.Y <= .55
	}
}

// spot is where a rusher of the shot stands at the snap, or else any whose spot is tagged on
// that angle in its game.
func (s shot) spot() (at tags.Point, known bool) {
	for _, r := range s.reps {
		if at, known = r.Spot[s.view.Angle]; known {
			return at, true
		}
	}
	if s.view.Angle == "sideline" { // teams change ends, and men sides
		return at, false
	}
	for _, p := range s.play.Game.Plays {
		for _, r := range p.Reps {
			if at, known = r.Spot[s.view.Angle]; known {
				return at, true
			}
		}
	}
	return at, false
}

// situation is "3rd & 8", with what else the play says of when it was.
func (b *builder) situation(p *tags.Play) string {
	return strings.Join(said(b, situationFields, p), separator)
}

// gameClock is "Q1 11:32"; empty where the quarter is not known.
func gameClock(p *tags.Play) string {
	if p.Quarter == nil {
		return ""
	}
	q := fmt.Sprintf("Q%d", *p.Quarter)
	if *p.Quarter > 4 {
		q = "OT"
	}
	return strings.TrimSpace(q + " " + p.Clock)
}

// downs is "3rd & 8"; empty where the down is not known.
func downs(p *tags.Play) string {
	if p.Down == nil {
		return ""
	}
	down := tags.Downs[*p.Down-1]
	if p.Distance != nil {
		down += fmt.Sprintf(" & %d", *p.Distance)
	}
	return down
}

// When is "Q1 11:32 · 3rd & 8", as much of it as is known, for what is not a reel's.
func When(p *tags.Play) string { return strings.Join(nonEmpty(gameClock(p), downs(p)), separator) }

const separator = " · "

// maxReps is how many reps a label names before it counts the rest.
const maxReps = 3

// lines is a line for each rep: who rushed and how or, once told, what became of it. Of a
// play without any it is what kind of play it was.
func (b *builder) lines(t take, told bool) []string {
	if len(b.recipe.fields()) == 0 {
		return nil
	}
	if len(t.reps) == 0 {
		var parts []string
		for _, f := range []Field{"type", "call"} {
			if !b.says(f) { // the situation does
				parts = append(parts, situationFields[f](b, t.play))
			}
		}
		return nonEmpty(strings.Join(nonEmpty(parts...), separator))
	}
	var lines []string
	for i, r := range t.reps {
		if i == maxReps-1 && len(t.reps) > maxReps && len(lines) > 0 {
			return append(lines, fmt.Sprintf("and %d more", len(t.reps)-i))
		}
		line := b.rush(r)
		if told {
			line = b.result(r)
		}
		lines = append(lines, nonEmpty(line)...)
	}
	return lines
}

// rush is who rushed from where, with which moves against which set.
func (b *builder) rush(r *tags.Rep) string {
	return strings.Join(said(b, rushFields, r), separator)
}

// stunt is the stunt he was part of, and his part in it.
func (b *builder) stunt(r *tags.Rep) string {
	if r.Stunt == "" {
		return ""
	}
	return strings.Join(nonEmpty(b.word("stunt", r.Stunt), b.word("job", r.Job)), ", ")
}

// met is the set or the block that he met.
func (b *builder) met(r *tags.Rep) string {
	if r.Set != "" {
		return b.word("set", r.Set) + " set"
	}
	return before("block", b.word("block", r.Block))
}

// Battled is how a battle went, by a shape and in a word, as far as it is known. What counts
// as won for a hold that he drew says so.
func Battled(r *tags.Rep, v *tags.Vocabulary) []string {
	if r.DrewHold() && r.Battle != "won" {
		return []string{"▲", v.Label("penalty", r.Penalty)}
	}
	return nonEmpty(map[string]string{"won": "▲", "stalemate": "■", "lost": "▼"}[r.Battle], v.Label("battle", r.Battle))
}

// Called is what he was called for; empty where nothing is tagged, and of a hold that he drew.
func Called(r *tags.Rep, v *tags.Vocabulary) string {
	if r.DrewHold() {
		return ""
	}
	return v.Label("penalty", r.Penalty)
}

// result is who rushed and what became of it.
func (b *builder) result(r *tags.Rep) string {
	var parts []string
	if b.says("rusher") {
		parts = nonEmpty(b.called(r))
	}
	return strings.Join(append(parts, said(b, resultFields, r)...), separator)
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
