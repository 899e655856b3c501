package page

import (
	"path/filepath"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
)

// Numbers is the page of tables that will lie at a path; with the grade sheet, a sheet for each
// player too, and the week as sheets alone.
func Numbers(path string, asked []report.Definition, tables []report.Table, r *report.Request) ([]byte, error) {
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return nil, err
	}
	p := &Stats{Title: "Numbers", Asked: append([]string{r.Asked()}, GamesOf(r.Reps)...)}
	var shown []report.Table
	for i, t := range tables {
		if len(tables) == 1 {
			p.Title = tags.Capital(t.Title)
		}
		if t.Name == report.Weekly {
			folder, err := filepath.Abs(filepath.Dir(path))
			if err != nil {
				return nil, err
			}
			p.Week = WeekOf(report.WeekOf(r), r.Season.Vocabulary, folder)
			shown = append(shown, t)
			continue // its sheets say it all
		}
		if t.Name == report.Grades {
			p.Players = Players(r.Reps, r.Season.Vocabulary)
			if len(p.Players) == 1 {
				continue // his sheet says it all
			}
		}
		var chart report.Chart
		if asked[i].Drawn() && !(r.ByAsked && len(r.By) > 1) {
			if chart, err = asked[i].Chart(r, ""); err != nil {
				return nil, err
			}
		}
		if err := p.Add(t, chart, recipe.Look); err != nil {
			return nil, err
		}
		shown = append(shown, t)
	}
	p.Foot = report.Chances(shown)
	return p.HTML()
}
