package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/page"
	"trenchcut/pipeline/plan"
	"trenchcut/pipeline/reel"
	"trenchcut/tags/files"
)

// writePage writes the tables as a page; with the grade sheet, a sheet for each player too.
func (o *statsOptions) writePage(p statsPage, tables []statsTable, in *statsInput) error {
	if err := o.mayWrite(o.page); err != nil {
		return err
	}
	made, err := p.page(tables, in)
	if err != nil {
		return err
	}
	data, err := made.HTML()
	if err == nil {
		err = files.Write(o.page, data)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(o.Err, "%s: page of %s, %s\n", o.page, plural(len(p.views), "table"), plural(len(p.reps), "rep"))
	return err
}

// page is p as a page.
func (p statsPage) page(tables []statsTable, in *statsInput) (*page.Stats, error) {
	made := &page.Stats{Title: "Numbers", Asked: append([]string{p.askedWords()}, page.GamesOf(p.reps)...)}
	rates, comparisons := 0, 0
	for i, v := range p.views {
		if len(p.views) == 1 {
			made.Title = capital(v.heading())
		}
		if v.name == gradesTable {
			made.Players = page.Players(p.reps, in.season.Vocabulary)
			if len(made.Players) == 1 {
				continue // his sheet says it all
			}
		}
		part := v.part()
		if err := addChart(&part, tables[i], in); err != nil {
			return nil, err
		}
		made.Parts = append(made.Parts, part)
		rates += v.rates
		comparisons += v.comparisons
	}
	made.Foot = manyWords(rates, comparisons)
	return made, nil
}

// heading is what a table is called where its name alone does not do.
func (v statsView) heading() string {
	return cmp.Or(v.title, "how often they won and brought pressure")
}

func (v statsView) part() page.Part {
	part := page.Part{Title: capital(v.heading()), Who: v.who, Lead: v.lead, Notes: v.notes}
	for _, b := range v.blocks {
		if len(b.rows) == 0 {
			continue
		}
		grid := page.Grid{Rows: b.rows, Said: b.said}
		for _, c := range b.columns {
			grid.Columns = append(grid.Columns, page.Column{Title: c.title, Right: c.right, Fold: c.least > 0})
		}
		part.Grids = append(part.Grids, grid)
	}
	return part
}

// addChart draws the table of a part below it, where it has a chart of what was asked.
func addChart(part *page.Part, t statsTable, in *statsInput) error {
	if t.chart == nil || len(part.Grids) == 0 || in.byAsked && len(in.by) > 1 {
		return nil
	}
	c, err := t.chart(in, "")
	if err != nil {
		return err
	}
	recipe, err := plan.DefaultRecipe()
	if err != nil {
		return err
	}
	scene, err := c.Scene(draw.Phone, draw.PaperLook(recipe.Look))
	if err != nil {
		return err
	}
	var svg bytes.Buffer
	if err := scene.SVG(&svg); err != nil {
		return err
	}
	return part.Draw(svg.Bytes())
}

// checkPage refuses what does not go with a page.
func (o *statsOptions) checkPage() error {
	switch {
	case o.page == "":
		return nil
	case !strings.EqualFold(filepath.Ext(o.page), reel.PageSuffix):
		return fmt.Errorf("--page %s: the name of a page ends in %s", o.page, reel.PageSuffix)
	case o.json || o.csv || o.chart.files != nil || o.against != nil:
		return errors.New("--page writes tables and prints nothing: want it without --json, --csv, --chart and --against")
	}
	return nil
}
