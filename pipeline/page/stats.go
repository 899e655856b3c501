package page

import (
	_ "embed" // the page's parts
	"fmt"
	"image"
	"slices"
	"strconv"
	"strings"

	"trenchcut/pipeline/draw"
	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

var (
	//go:embed stats.html
	statsHTML string
	//go:embed stats.css
	statsOwnStyle string
)

var (
	statsTemplate = templateOf(statsHTML)
	statsStyle    = pageStyle + statsOwnStyle
)

// Stats is a page of numbers that needs no film: tables, the sheets of a week, and a sheet of
// grades for each player.
type Stats struct {
	Title   string
	Asked   []string // what was asked for, and which games it is of
	Parts   []Part
	Week    *Week // nil where it is not asked for
	Players []Player
	Foot    string // of all figures
}

// Part is one table of stats, with its chart where it has one.
type Part struct {
	report.Table
	Chart   draw.Markup // as wide as the page
	Narrow  draw.Markup // the same for a phone
	Shown   []string    // said above the table
	Counted []string    // how it was counted, which is folded
}

// pageWide is a chart as wide as a page. Its type is scaled with it on a large screen and on paper.
var pageWide = image.Pt(960, 0)

// Add puts a table on the page, with a chart of it that may be nil; a table with nothing to
// show is not drawn.
func (s *Stats) Add(t report.Table, chart report.Chart, look plan.Look) error {
	t.Title = tags.Capital(t.Title)
	t.Blocks = slices.DeleteFunc(slices.Clone(t.Blocks), func(b report.Block) bool { return len(b.Rows) == 0 })
	part := Part{Table: t, Counted: []string{"Who counts: " + t.Who + "."}}
	for _, said := range t.Lead {
		if said == t.Key || len(t.Blocks) == 0 {
			part.Shown = append(part.Shown, said)
		} else {
			part.Counted = append(part.Counted, said)
		}
	}
	part.Counted = append(part.Counted, t.Notes...)
	if chart != nil && len(t.Blocks) > 0 {
		bare, small := report.Bare(chart)
		for _, said := range small {
			if !slices.Contains(part.Counted, said) && !slices.ContainsFunc(t.Blocks, func(b report.Block) bool { return slices.Contains(b.Said, said) }) {
				part.Counted = append(part.Counted, said)
			}
		}
		var err error
		if part.Chart, err = markupOf(bare, pageWide, look); err != nil {
			return err
		}
		if part.Narrow, err = markupOf(bare, draw.Phone, look); err != nil {
			return err
		}
	}
	s.Parts = append(s.Parts, part)
	return nil
}

// marked reports whether a block counts grades, which are drawn as bars.
func marked(b report.Block) bool {
	return slices.ContainsFunc(b.Headings, func(h report.Heading) bool { return h.Marks })
}

// marksOf is "2/1/1" as counts.
func marksOf(cell string) (row GradeRow, err error) {
	_, err = fmt.Sscanf(cell, "%d/%d/%d", &row.Plus, &row.Zero, &row.Minus)
	return row, err
}

// class is how the cells under a heading are set.
func class(h report.Heading) string {
	switch {
	case h.Right:
		return "number"
	case h.Least > 0:
		return "words"
	default:
		return "words whole"
	}
}

// Player is one player's grade sheet. It holds nothing of anybody else's.
type Player struct {
	Who     string
	Figures []Figure
	Grades  []GradeRow
	Games   []GradedGame
	Rest    int // snaps of which there is nothing to tell
}

// Figure is a number with its name.
type Figure struct{ Name, Value string }

// GradeRow is how often each grade was given in one category.
type GradeRow struct {
	Name              string
	Plus, Zero, Minus int
}

// Given is how many grades were given.
func (g GradeRow) Given() int { return g.Plus + g.Zero + g.Minus }

// NoMinus is how many of them are plus or zero: in a bar, where the minuses begin.
func (g GradeRow) NoMinus() int { return g.Plus + g.Zero }

// GradedGame is a player's snaps of one game.
type GradedGame struct {
	Name  string
	Snaps []Snap

	of *tags.Game // the first file of it
}

// Snap is one rep with what was graded or said of it.
type Snap struct {
	Rep                           string // its name, by which check knows whose it is
	Play                          int
	When, What                    string
	Assignment, Technique, Effort string
	Points                        string
	Faults                        []string
	Note, Point                   string
	Heard                         string // what the point is to him
}

// Players is the grade sheets of reps in film order, in the order of [stats.Grades].
func Players(reps []*tags.Rep, v *tags.Vocabulary) []Player {
	var list []Player
	for _, g := range stats.Grades(reps) {
		p := Player{
			Who: plain(g.Reps[0].Rusher.Called()),
			Figures: []Figure{
				{"snaps", strconv.Itoa(g.Snaps)},
				{"graded", strconv.Itoa(g.Graded)},
				{"points", pointsOf(g.Points)},
				{"loafs", strconv.Itoa(g.Loafs)},
				{"missed assignments", strconv.Itoa(g.MissedAssignments)},
				{"contain lost", strconv.Itoa(g.LostContain)},
			},
		}
		for _, row := range []struct {
			name string
			of   stats.Marks
		}{{"assignment", g.Assignment}, {"technique", g.Technique}, {"effort", g.Effort}} {
			p.Grades = append(p.Grades, GradeRow{row.name, row.of.Plus, row.of.Zero, row.of.Minus})
		}
		for _, r := range g.Reps {
			p.add(r, v)
		}
		list = append(list, p)
	}
	return list
}

// add puts a rep on its player's sheet, where there is anything to tell of it.
func (p *Player) add(r *tags.Rep, v *tags.Vocabulary) {
	s := Snap{
		Rep: r.Name(), Play: r.Play.Number, When: plain(plan.When(r.Play)), What: what(r, v), Assignment: r.Assignment, Technique: r.Technique,
		Effort: r.Effort, Note: plain(r.Note), Point: plain(r.Point), Heard: heard(r),
	}
	if r.Loaf == "yes" {
		s.Faults = append(s.Faults, "loaf")
	}
	if r.MissedAssignment == "yes" {
		s.Faults = append(s.Faults, "missed assignment")
	}
	if r.Contain == "lost" {
		s.Faults = append(s.Faults, "contain lost")
	}
	points, earns := r.Production()
	if earns {
		s.Points = pointsOf(&points)
	}
	if s.Assignment+s.Technique+s.Effort+s.Note+s.Point == "" && s.Faults == nil && points == 0 {
		p.Rest++
		return
	}
	game := r.Play.Game
	name := gameName(game)
	// Two files of one date and opponent are one game; two of no date are two.
	if n := len(p.Games); n == 0 || p.Games[n-1].Name != name || game.Date == "" && p.Games[n-1].of != game {
		p.Games = append(p.Games, GradedGame{Name: name, of: game})
	}
	g := &p.Games[len(p.Games)-1]
	g.Snaps = append(g.Snaps, s)
}

// gameName is "2026-09-12 Harbor State".
func gameName(g *tags.Game) string {
	against := g.Opponent
	switch {
	case against != "":
	case g.Practised():
		against = "practice"
	default:
		against = g.ID
	}
	return plain(g.Date + " " + against)
}

// GamesOf names the games of reps, which are in film order; of more than four it gives the number,
// the first and the last.
func GamesOf(reps []*tags.Rep) []string {
	games := gamesOf(reps)
	const mostNamed = 4
	if n := len(games); n > mostNamed {
		return []string{plain(fmt.Sprintf("%d games, %s to %s", n, gameName(games[0]), gameName(games[n-1])))}
	}
	var names []string
	for _, g := range games {
		names = append(names, gameName(g))
	}
	return names
}

// gamesOf returns the games of reps, each once, in the order of the reps.
func gamesOf(reps []*tags.Rep) []*tags.Game {
	var games []*tags.Game
	for _, r := range reps {
		if !slices.Contains(games, r.Play.Game) {
			games = append(games, r.Play.Game)
		}
	}
	return games
}

func pointsOf(points *float64) string {
	if points == nil {
		return "–"
	}
	return strconv.FormatFloat(*points, 'f', -1, 64)
}

// How many lines a sheet of paper holds of a player's table in its usual type, and in the
// next smaller one, and how many letters stand on a line of what is said.
const (
	fewSaid   = 36
	manySaid  = 56
	saidWidth = 48
)

// Paper is how small print must be for one sheet to hold the player: "", long or longer.
// More than a game of snaps goes on behind it.
func (p Player) Paper() string {
	n := min(p.Rest, 1)
	for _, g := range p.Games {
		n++
		for _, s := range g.Snaps {
			said := strings.Join(append(s.Faults, s.Note, s.Point), " ")
			n += 1 + max(len([]rune(said)), len([]rune(s.What)))/saidWidth
		}
	}
	return typeFor(n, fewSaid, manySaid)
}

// HTML is the page, whole.
func (s *Stats) HTML() ([]byte, error) {
	return written(statsTemplate, struct {
		*Stats
		head
	}{s, headOf(statsMark, policy(statsStyle), statsStyle)})
}
