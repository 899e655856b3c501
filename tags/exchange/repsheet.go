package exchange

import (
	"strconv"
	"strings"

	"trenchcut/tags"
)

// RepSheet is reps as a sheet, a row each: the play and its situation, who rushed, and the
// fields of which some rep has something to say or that a coach fills. To bring it back into
// the same tag files changes nothing; where somebody edits it, import changes the reps that
// are still as they were written out.
func RepSheet(reps []*tags.Rep) Table {
	type column = sheetColumn[*tags.Rep]
	var columns []column
	games := map[*tags.Game]bool{}
	for _, r := range reps {
		games[r.Play.Game] = true
	}
	if len(games) > 1 {
		columns = append(columns, column{keyGame, func(r *tags.Rep) any { return r.Play.Game.ID }, true})
	}
	for _, f := range fields {
		if f.Wanted || f.Name == "play" {
			columns = append(columns, column{f.heading(), func(r *tags.Rep) any { return f.cell(r.Play) }, f.Name == "play"})
		}
	}
	columns = append(columns, column{"Player", func(r *tags.Rep) any { return textOf(r.Rusher.Name) }, false})
	for _, f := range repFields {
		of := func(r *tags.Rep) any { return textOf(f.text(r)) }
		switch {
		case f.mark != "":
			of = func(r *tags.Rep) any { return number(f.text(r)) }
		case f.key == keyRusher:
			of = func(r *tags.Rep) any { return named(r.Play.Game, r.Rusher, true) }
		case f.key == "blocker":
			of = func(r *tags.Rep) any { return named(r.Play.Game, r.Blocker, false) }
		}
		columns = append(columns, column{f.heading(), of, f.always || f.key == keyRusher})
	}
	columns = append(columns, column{"As exported", func(r *tags.Rep) any { return "x" + digest(r) }, true})
	return tableOf("Reps", reps, columns)
}

// NotInRepSheet says what of reps a sheet of them does not hold; empty where that is nothing.
func NotInRepSheet(reps []*tags.Rep) string {
	own, drawn, marks := 0, 0, map[*tags.Play]bool{}
	for _, r := range reps {
		if w := r.Written(); w.In != nil || w.Out != nil {
			own++
		}
		if len(r.Spot)+len(r.Draw) > 0 {
			drawn++
		}
		for _, m := range tags.AllMarks[1:] {
			if _, there := r.Play.Marks.At(m); there {
				marks[r.Play] = true
			}
		}
	}
	var said []string
	add := func(what string, n int, of string) {
		if n > 0 {
			said = append(said, what+" "+tags.Count(n, of))
		}
	}
	add("marks that stand on the play, of", len(marks), "play")
	add("own in and out of", own, "rep")
	add("spot and drawings of", drawn, "rep")
	return strings.Join(said, "; ")
}

// number is text as a number where it is one, so that a spreadsheet can count with it.
func number(text string) any {
	if v, err := strconv.ParseFloat(text, 64); err == nil && plainNumber.MatchString(text) {
		return v
	}
	return textOf(text)
}

// named is a person by his number where that alone tells him, else by id.
func named(g *tags.Game, p *tags.Person, ours bool) any {
	if p == nil {
		return nil
	}
	r := &reader{game: g}
	if id, want := r.person(p.Jersey, ours); p.Jersey != "" && want == "" && id == p.ID {
		if n, err := strconv.Atoi(p.Jersey); err == nil && strconv.Itoa(n) == p.Jersey {
			return n
		}
		return p.Jersey
	}
	return p.ID
}
