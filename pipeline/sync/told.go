package sync

import (
	"fmt"
	"strconv"
	"strings"

	"trenchcut/tags/report"
)

// SoundTakesTime is what whoever puts film in step by sound must know. At 20 °C sound
// travels 343 m a second (ISO 9613-1 takes 343.2).
const SoundTakesTime = `Sound needs 2.9 ms for a metre: a camera that stands 50 m farther from the ball is
set four frames too late. Look at a snap on both; --nudge ANGLE=-4 moves one four frames
earlier, and instants marked in both win over sound.`

// BySound reports whether anything was put in step by sound.
func BySound(proposals []*Proposal) bool {
	for _, p := range proposals {
		for _, f := range p.Findings {
			if f.Err == nil && f.BySound {
				return true
			}
		}
	}
	return false
}

// Failures is an error for what is not sure and one for what failed.
func Failures(proposals []*Proposal) (errs []error) {
	refused, failed, all := 0, 0, 0
	var first error
	for _, p := range proposals {
		for _, f := range p.Findings {
			all++
			switch {
			case f.Failed:
				if failed == 0 {
					first = f.Err
				}
				failed++
			case f.Err != nil:
				refused++
			}
		}
	}
	if refused > 0 {
		errs = append(errs, fmt.Errorf("%d of %d could not be put in step: the tag file says no more of it than before", refused, all))
	}
	if failed > 0 {
		errs = append(errs, fmt.Errorf("%d of %d failed, and the tag file says no more of it than before; the first: %w", failed, all, first))
	}
	return errs
}

// Block is what was found of one game, as a table.
func (p *Proposal) Block() report.Block {
	g := p.Game
	rows := [][]string{{strings.Join(strings.Fields(g.ID+" "+g.Date+" "+g.Opponent), " ")}}
	switch len(g.Films) {
	case 0:
		rows = append(rows, []string{"", "", "", "", "the game names no film"})
	case 1:
		rows = append(rows, []string{g.Films[0].Angle, "", "", "", "the only angle: there is none to be put in step"})
	default:
		rows = append(rows, []string{g.Films[0].Angle, "", "", "", "the first angle: the others are put in step with it"})
	}
	for i, film := range g.Films {
		for _, f := range p.Findings {
			if f.Angle == film.Angle {
				rows = append(rows, f.row())
			}
		}
		if i == 0 {
			continue
		}
		if said := p.Standing(film.Angle); said != "" {
			rows = append(rows, []string{film.Angle, "", "", "", said})
		}
	}
	return report.Block{Headings: []report.Heading{
		{Title: "angle"},
		{Title: "play", Right: true},
		{Title: "set to"},
		{Title: "clear", Right: true},
		{Title: "how it was found", Least: 24, Fold: true},
	}, Rows: rows}
}

func (f *Finding) row() []string {
	row := []string{f.Angle, "", "offset " + f.Set.String(), "", f.How}
	if f.Play != nil {
		row[1], row[2] = strconv.Itoa(f.Play.Number), "snap "+f.Set.String()
		if f.On != f.Angle {
			row[2] = f.On + " " + row[2]
		}
	} else if f.Stays {
		row[4] += "; --again finds it anew"
	}
	if f.Drift != 0 {
		row[2] += fmt.Sprintf(", drift %d", f.Drift)
	}
	if f.Clear > 0 {
		row[3] = fmt.Sprintf("%.1f", f.Clear)
	}
	switch {
	case f.Failed:
		row[2], row[4] = "failed", f.Err.Error()
	case f.Err != nil:
		row[2], row[4] = "refused", f.Err.Error()
	}
	return row
}
