package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"trenchcut/tags/exchange"
	"trenchcut/tags/report"
)

// printTables prints tables as text.
func printTables(w io.Writer, r *report.Request, tables []report.Table) error {
	p := printer{w: w, width: outWidth(w)}
	p.say(r.Asked())
	for _, t := range tables {
		if !t.Untitled() {
			p.gap()
			p.say(strings.ToUpper(t.Name)+": "+t.Title, "Who counts: "+t.Who+".")
		}
		p.say(t.Lead...)
		p.blocks(t.Blocks)
		if len(t.Notes) > 0 {
			p.gap()
			p.say(t.Notes...)
		}
	}
	if said := report.Chances(tables); said != "" {
		p.gap()
		p.say(said)
	}
	return p.err
}

// printAgainst prints two choices side by side.
func printAgainst(w io.Writer, a report.Against) error {
	p := printer{w: w, width: outWidth(w)}
	p.say(a.Asked()...)
	p.say(a.Lead...)
	if len(a.Blocks) == 0 {
		return p.err
	}
	p.blocks(a.Blocks[:1])
	p.gap()
	p.say(a.Sentences()...)
	p.blocks(a.Blocks[1:])
	p.gap()
	p.say(a.TimeWords())
	p.gap()
	p.say(a.Comparisons())
	return p.err
}

// printer prints paragraphs and tables until something fails, and keeps the failure.
type printer struct {
	w     io.Writer
	width int
	err   error
}

func (p *printer) say(paragraphs ...string) {
	for _, text := range paragraphs {
		if p.err == nil {
			p.err = printWrapped(p.w, p.width, text)
		}
	}
}

func (p *printer) gap() {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w)
	}
}

func (p *printer) blocks(blocks []report.Block) {
	for _, b := range blocks {
		if len(b.Rows) == 0 || p.err != nil {
			continue
		}
		p.gap()
		columns := make([]column, len(b.Headings))
		for i, h := range b.Headings {
			columns[i] = column{title: h.Title, right: h.Right, least: h.Least, fold: h.Fold, spare: h.Spare}
		}
		p.err = printTable(p.w, p.width, columns, b.Rows)
		p.say(b.Said...)
	}
}

func printTablesJSON(w io.Writer, r *report.Request, tables []report.Table) error {
	named := report.Object{}
	for _, t := range tables {
		named = append(named, report.Member{Name: t.Name, Value: t})
	}
	return printJSON(w, report.Object{
		{Name: "asked", Value: r.Query.String()}, {Name: "could-not-judge", Value: r.Unjudged.Unknown}, {Name: "tables", Value: named},
	})
}

// printCSV prints the rows of a grid; what is not known is an empty cell.
func printCSV(w io.Writer, g report.Grid) error {
	out := exchange.NewCSVWriter(w)
	_ = out.Write(g.Headings()) // the writer keeps its error for Error
	for _, row := range g.Cells() {
		cells := make([]string, len(row))
		for i, cell := range row {
			switch cell := cell.(type) {
			case nil:
			case float64:
				cells[i] = strconv.FormatFloat(cell, 'f', 4, 64)
			default:
				cells[i] = fmt.Sprint(cell)
			}
		}
		_ = out.Write(cells)
	}
	out.Flush()
	return out.Error()
}
