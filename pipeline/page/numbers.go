package page

import (
	"fmt"
	"image"
	"slices"
	"strings"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// Table is numbers under one heading, with a chart of them where there is one.
type Table struct {
	Title string
	Of    string // what its lines are
	Rows  []Row
	Chart draw.Markup

	shares []stats.Share
}

// Row is one line of a table: a count, and its rate where there are enough to speak of one.
type Row struct {
	Name     string
	Count    string
	Rate     string // per 100
	Interval string
}

// Draw draws every table of which a chart would have two bars at least; of one the table
// says as much.
func (p *Page) Draw(look plan.Look) error {
	for i := range p.Tables {
		t := &p.Tables[i]
		var bars []stats.Share
		for _, s := range t.shares {
			if s.Bar {
				bars = append(bars, s)
			}
		}
		if len(bars) < 2 {
			continue
		}
		var err error
		if t.Chart, err = markupOf(report.Bars{Title: t.Title, Shares: bars}, draw.Phone, look); err != nil {
			return err
		}
	}
	return nil
}

// markupOf draws a chart for a page, in a size of draw's.
func markupOf(c report.Chart, size image.Point, look plan.Look) (draw.Markup, error) {
	scene, err := draw.Chart(c, size, draw.PaperLook(look))
	if err != nil {
		return draw.Markup{}, err
	}
	return scene.Markup()
}

// numbers takes what the slates say, so that page and reel say the same, and divides the
// closing slate's reps where it tells a rate of them.
func (w *walk) numbers(p *plan.Plan) {
	first, last := p.Slates()
	closing := p.Entries[last].Segment.Card
	w.page.Said, w.page.Caution = plains(closing.Lines), closing.Caution
	w.table("All of the reel", "rate", sharesOf(closing))
	for _, e := range p.Entries[first+1 : last] {
		if card := e.Segment.Card; card != nil {
			w.table(plain(e.Chapter), "rate", sharesOf(card))
		}
	}
	if len(closing.Shares) == 0 {
		return
	}
	scope := stats.ScopeOf(w.shown, p.ByType)
	w.page.Counted = scope.CountedWords()
	counted := scope.Counted(w.shown)
	for _, f := range facts {
		of := f.of
		names := map[string][]string{} // that a player goes by, by his key
		switch f.key {
		case "rusher":
			of = func(r *tags.Rep, who string) []string {
				key := r.Rusher.Key()
				if !slices.Contains(names[key], who) {
					names[key] = append(names[key], who)
				}
				return []string{key}
			}
		case "outcome":
			continue // it is what rates are made of
		case "move": // the others were decided by what the blocker gave
			of = func(r *tags.Rep, _ string) []string { return []string{r.FirstMove()} }
		}
		groups := stats.By(counted, func(r *tags.Rep) []string { return of(r, w.who[r]) })
		if len(groups) < 2 {
			continue
		}
		var shares []stats.Share
		for _, g := range groups {
			name := g.Name
			switch {
			case f.key == "rusher":
				name = plain(strings.Join(names[name], "/"))
			case name != stats.NotTagged:
				name = w.shownAs(f.key, name)
			}
			if g.Won.N > 0 {
				shares = append(shares, stats.ShareOf(name, g.Won))
			}
		}
		title := "Won, by " + f.key
		if f.key == "move" {
			title = "Won, by first move"
		}
		w.table(title, f.key, shares)
	}
}

func sharesOf(card *plan.Card) []stats.Share {
	var shares []stats.Share
	for _, s := range card.Shares {
		shares = append(shares, stats.Share{Name: s.Name, Count: stats.Count{K: s.K, N: s.N}, Low: s.Low, High: s.High, Bar: s.Bar, Unknown: s.Unknown})
	}
	return shares
}

func (w *walk) table(title, of string, shares []stats.Share) {
	if len(shares) == 0 {
		return
	}
	t := Table{Title: title, Of: of}
	for _, s := range shares {
		s.Name = plain(s.Name)
		t.shares = append(t.shares, s)
		row := Row{Name: s.Name, Count: s.Count.String()}
		if s.Unknown > 0 {
			row.Count += fmt.Sprintf(", %d not known", s.Unknown)
		}
		if s.Bar {
			rate, _, _ := s.Per100()
			row.Rate, row.Interval = fmt.Sprint(rate), fmt.Sprintf("%d to %d", stats.Rounded(100*s.Low), stats.Rounded(100*s.High))
		}
		t.Rows = append(t.Rows, row)
	}
	w.page.Tables = append(w.page.Tables, t)
}

// Intervals is how many rates the page gives an interval of.
func (p *Page) Intervals() int {
	n := 0
	for _, t := range p.Tables {
		for _, s := range t.shares {
			if s.Bar {
				n++
			}
		}
	}
	return n
}

// Fewest is how many reps it takes to speak of a rate.
func (p *Page) Fewest() int { return stats.Enough }
