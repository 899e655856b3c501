package outline

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Block is what was found as a table, a row a shot of a play.
func (p *Proposal) Block() report.Block {
	columns := []report.Heading{{Title: "play", Right: true}, {Title: "shot", Right: true}, {Title: "angle"}, {Title: "in"}, {Title: "out"}, {Title: "snap"}, {Title: "says the sheet", Least: 12, Fold: true}, {Title: "not sure"}}
	const sheet = 6
	var rows [][]string
	for _, play := range p.Plays {
		for i, s := range play.Shots {
			clock := s.Source.Clock()
			row := []string{"", strconv.Itoa(s.ID), s.Angle, clock.At(s.Span.In).String(), clock.At(s.Span.Out).String(), "", "", ""}
			if s.Snaps {
				row[5] = clock.At(s.Snap).String()
			}
			if i == 0 {
				row[0], row[sheet], row[7] = strconv.Itoa(play.Number), play.Situation(), play.doubtWords()
			}
			rows = append(rows, row)
		}
	}
	if !slices.ContainsFunc(rows, func(r []string) bool { return r[sheet] != "" }) {
		columns = slices.Delete(columns, sheet, sheet+1)
		for i := range rows {
			rows[i] = slices.Delete(rows[i], sheet, sheet+1)
		}
	}
	return report.Block{Headings: columns, Rows: rows}
}

// LeftOut is a line for each shot that shows no play, with why.
func (p *Proposal) LeftOut() []string {
	var lines []string
	for _, s := range p.Unused() {
		clock := s.Source.Clock()
		lines = append(lines, fmt.Sprintf("left out: shot %d, %s to %s: %s", s.ID, clock.At(s.Span.In), clock.At(s.Span.Out), s.Why()))
	}
	return lines
}

// Counted is how many plays, snaps and shots there are, in words.
func (p *Proposal) Counted() string {
	snaps := 0
	for _, play := range p.Plays {
		if play.Snaps() {
			snaps++
		}
	}
	return fmt.Sprintf("%s on film, %s guessed, %s left out", tags.Count(len(p.Plays), "play"), tags.Count(snaps, "snap"), tags.Count(len(p.Unused()), "shot"))
}

// Doubts is a line for each thing that whoever looks at the outline must know: plays not on
// film, film that cannot be decoded, and plays that are not sure.
func (p *Proposal) Doubts() []string {
	var lines []string
	say := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	if len(p.Absent) > 0 {
		say("not on film: %s", strings.Trim(strings.ReplaceAll(fmt.Sprint(p.Absent), " ", ", "), "[]"))
	}
	for _, l := range p.Lost {
		say("%s begins amid a group of pictures: its first %s, up to %s, cannot be decoded", l.File, tags.Count(int(l.Frames), "frame"), l.End)
	}
	for _, run := range p.Doubtful() {
		where := fmt.Sprintf("play %d is", run[0].Number)
		if len(run) > 1 {
			where = fmt.Sprintf("plays %s are", p.numbers(run))
		}
		worst := slices.MaxFunc(run, func(a, b Play) int { return cmp.Compare(a.Wrong, b.Wrong) })
		if len(run) > 1 && worst.Wrong > 0 {
			say("%s not sure: look first at play %d, %s", where, worst.Number, oddsOf(worst.Wrong))
		} else {
			say("%s not sure: the film would fit another way nearly as well", where)
		}
	}
	return lines
}

// numbers is those of a run of plays, "1, 3 to 6", without those that are not on film.
func (p *Proposal) numbers(run []Play) string {
	var said []string
	for from := 0; from < len(run); {
		to := from
		for to+1 < len(run) && !slices.ContainsFunc(p.Absent, func(n int) bool { return run[to].Number < n && n < run[to+1].Number }) {
			to++
		}
		one := strconv.Itoa(run[from].Number)
		if to > from {
			one += " to " + strconv.Itoa(run[to].Number)
		}
		said, from = append(said, one), to+1
	}
	return strings.Join(said, ", ")
}

// doubtWords is what is not sure about a play, and in how many of a hundred it is wrong.
func (p Play) doubtWords() string {
	if p.SureOfPlay {
		return p.Doubt()
	}
	return fmt.Sprintf("%s %.0f%%", p.Doubt(), max(1, 100*p.Wrong))
}

// oddsOf is a probability of being wrong in words.
func oddsOf(wrong float64) string {
	if wrong < 0.01 {
		return "wrong in under 1 of 100"
	}
	return fmt.Sprintf("wrong in %.0f of 100", 100*wrong)
}

// ChangeLines is what becomes of a tag file that has film already, a line each; none of a file
// that had none.
func (p *Proposal) ChangeLines() []string {
	if !p.Again {
		return nil
	}
	var lines []string
	if p.Sheet != nil {
		lines = append(lines, p.Sheet.Lines...)
	}
	for _, c := range p.Changes {
		lines = append(lines, c.String())
	}
	if lines == nil {
		lines = []string{"nothing changes"}
	}
	return lines
}
