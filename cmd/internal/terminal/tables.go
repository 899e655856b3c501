package terminal

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"trenchcut/tags/report"
)

// Tables prints tables as text, each with who counts in it.
func Tables(w io.Writer, r *report.Request, tables []report.Table) error {
	p := printer{w: w, width: Width(w)}
	p.say(r.Asked())
	var told []string
	for _, t := range tables {
		if !t.Untitled {
			p.gap()
			p.say(strings.ToUpper(t.Name)+": "+t.Title, "Who counts: "+t.Who+".")
		}
		p.say(t.Lead...)
		p.blocks(t.Blocks)
		notes := slices.DeleteFunc(slices.Clone(t.Notes), func(note string) bool { return slices.Contains(told, note) })
		if len(notes) > 0 {
			p.gap()
			p.say(notes...)
		}
		told = append(told, notes...) // what holds for several tables is said of the first
	}
	if said := report.Chances(tables); said != "" {
		p.gap()
		p.say(said)
	}
	return p.err
}

// Against prints two choices side by side.
func Against(w io.Writer, a report.Against) error {
	p := printer{w: w, width: Width(w)}
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

// Blocks prints tables, with a line between two.
func Blocks(w io.Writer, blocks []report.Block) error {
	for i, b := range blocks {
		if i > 0 {
			if _, err := fmt.Fprintln(w); err != nil {
				return err
			}
		}
		if err := Table(w, Width(w), b.Headings, b.Rows); err != nil {
			return err
		}
	}
	return nil
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
			p.err = paragraph(p.w, p.width, text)
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
		p.err = Table(p.w, p.width, b.Headings, b.Rows)
		p.say(b.Said...)
	}
}
