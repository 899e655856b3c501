// Package report makes the tables of numbers that commands and pages show. A table's columns
// are declared once; text, CSV, JSON, spreadsheets and charts all come from them. The
// package writes no file and draws nothing.
package report

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
	"trenchcut/tags/stats"
)

// Request is what tables are made of.
type Request struct {
	Season   *tags.Season
	Query    *query.Query // what was asked for
	Reps     []*tags.Rep  // the reps that were chosen
	Unjudged query.Unjudged
	By       []query.Fact // what rates, times, weeks and tendencies are broken down by
	ByAsked  bool         // whether By was asked for and is not the default
	// FrameRate is how many frames a second the film of a rep has; nil where films are not
	// to be looked at.
	FrameRate func(*tags.Rep) tags.Rate

	seen    []stats.Seen // what seenReads found
	games   int          // how many the reps are of; 0 until somebody asks
	assumed []string     // what assumedWords says; nil until somebody asks
}

// gamesOfReps is how many games the reps are of, which is counted once.
func (r *Request) gamesOfReps() int {
	if r.games == 0 {
		r.games = stats.Games(r.Reps)
	}
	return r.games
}

// assumptions is assumedWords of the reps, which is asked once.
func (r *Request) assumptions() []string {
	if r.assumed == nil {
		r.assumed = append([]string{}, assumedWords(r.Reps)...)
	}
	return r.assumed
}

// seenReads is the reads of the reps that reads are asked of, which is asked once.
func (r *Request) seenReads() []stats.Seen {
	if r.seen == nil {
		r.seen = seenBy(r.Query.Registry(), r.Season.Vocabulary.Reads, stats.Readers(r.Reps))
	}
	return r.seen
}

// scope is whom the rates of the request count.
func (r *Request) scope() stats.Scope { return stats.ScopeOf(r.Reps, r.Query.AsksFor("type")) }

func (r *Request) frameRate() func(*tags.Rep) tags.Rate {
	if r.FrameRate != nil {
		return r.FrameRate
	}
	return func(*tags.Rep) tags.Rate { return tags.Rate{} }
}

// Asked is what was asked for, and how much there is of it.
func (r *Request) Asked() string {
	plays := map[*tags.Play]bool{}
	for _, rep := range r.Reps {
		plays[rep.Play] = true
	}
	return fmt.Sprintf("%s: %s in %s%s.", r.Query.Words(), tags.Count(len(r.Reps), "rep"), tags.Count(len(plays), "play"), r.Unjudged.Words())
}

// Object is tables as JSON tells them, with what was asked for.
func (r *Request) Object(tables []Table) Object {
	named := Object{}
	for _, t := range tables {
		named = append(named, Member{Name: t.Name, Value: t})
	}
	return Object{
		{Name: "asked", Value: r.Query.String()},
		{Name: "could-not-judge", Value: r.Unjudged.Unknown},
		{Name: "tables", Value: named},
	}
}

// Definition is a table that can be asked for.
type Definition struct {
	Name string
	Doc  string
	// ChartOf is what a chart of the table may be of, the first where nothing is named; empty
	// where its chart shows one thing only.
	ChartOf []string

	ofEnds bool // it tells how rushes ended: see [Refuse]
	// measures is the fact that the table is made of: likewise.
	measures string
	table    func(*Request) (Table, error)
	chart    func(r *Request, of string) (Chart, error)
}

// Names of tables that are treated apart.
const (
	Rates   = "rates" // what is told where no table is named
	Times   = "time"
	Holds   = "hold"
	Seasons = "season"
	Grades  = "grades" // on a page it comes with a sheet for each player
	Weekly  = "week"   // on a page it is a sheet for the room, for each man and of the next line
)

// The facts that a table is made of.
const (
	getoffTime = "time-to-getoff"
	ballOut    = "ball-out"
)

// All names every table, where tables are named.
const All = "all"

// Named is the tables of those names, each once, in the order in which they are named. The
// error offers the names there are.
func Named(names []string) ([]Definition, error) {
	all := Definitions()
	if slices.Contains(names, All) {
		return all, nil
	}
	known := make([]string, len(all))
	for i, d := range all {
		known[i] = d.Name
	}
	offer := "want one of " + strings.Join(known, ", ") + ", or " + All
	if len(names) == 0 {
		return nil, errors.New("no table is named; " + offer)
	}
	var tables []Definition
	for i, name := range names {
		at := slices.Index(known, name)
		if at < 0 {
			return nil, fmt.Errorf("unknown table %q; %s", name, cmp.Or(tags.DidYouMean(name, known), offer))
		}
		if !slices.Contains(names[:i], name) {
			tables = append(tables, all[at])
		}
	}
	return tables, nil
}

// Definitions is every table, in the order in which they are told.
func Definitions() []Definition {
	return []Definition{
		{Rates, "how often they won, brought pressure, sacked and beat him in time", ratesOf, true, "", ratesTable, ratesChart},
		{Times, "how often blockers were beaten before the ball was out, and by when", nil, true, "", timeTable, timeChart},
		{Holds, "how long blockers would hold, were the ball never out", nil, true, ballOut, holdTable, holdChart},
		{Seasons, "his numbers week by week, and whether they grow", seasonOf, true, "", seasonTable, seasonChart},
		{"sequence", "what he began with after what a blocker saw last, and what followed", nil, true, "", sequenceTable, nil},
		{"tendency", "what is done how often, by situation", tendencyOf, false, "", tendencyTable, tendencyChart},
		{"getoff", "how soon after the snap each rusher moves", nil, false, getoffTime, getoffTable, getoffChart},
		{"run", "penetration, stops and the edge against the run", nil, true, "", runTable, nil},
		{"stunt", "what stunts came to, by kind, role and caller", nil, true, "", stuntTable, nil},
		{"contain", "contain had, kept and lost", nil, true, "", containTable, nil},
		{"reads", "reads there, taken, and what they paid", nil, true, "", readsTable, readsChart},
		{"room", "each man's rate with the room's film behind it", roomOf, true, "", roomTable, roomChart},
		{"expected", "battles won over what the situation gives", nil, true, "", expectedTable, expectedChart},
		{"pairs", "who wins against whom, one-on-one", pairsOf, true, "", pairsTable, pairsChart},
		{Weekly, "what to work on: the room, each man, and the next opponent's line", nil, true, "", weekTable, nil},
		{Grades, "the grade sheet: a line a player", nil, false, "", gradesTable, nil},
		{"agreement", "how far two people who tagged the same game agree", nil, false, "", agreementTable, nil},
	}
}

// DrawnNames is the names of the tables of which there is a chart.
func DrawnNames() []string {
	var names []string
	for _, d := range Definitions() {
		if d.Drawn() {
			names = append(names, d.Name)
		}
	}
	return names
}

// Drawn reports whether there is a chart of the table.
func (d Definition) Drawn() bool { return d.chart != nil }

// CheckChart refuses a chart that there is not: of a table that has none, or of what the table
// does not hold; an empty of is what the table's chart usually shows.
func (d Definition) CheckChart(of string) error {
	switch {
	case !d.Drawn():
		return fmt.Errorf("there is no chart of the table %s; there is of %s", d.Name, strings.Join(DrawnNames(), ", "))
	case of == "" || slices.Contains(d.ChartOf, of):
		return nil
	case d.ChartOf == nil:
		return fmt.Errorf("a chart of the table %s shows one thing only, not %s", d.Name, of)
	default:
		return fmt.Errorf("a chart of the table %s shows %s, not %s", d.Name, tags.Either(d.ChartOf), of)
	}
}

// ChartsOf is what charts may show, of all tables.
func ChartsOf() []string {
	var of []string
	for _, d := range Definitions() {
		for _, name := range d.ChartOf {
			if !slices.Contains(of, name) {
				of = append(of, name)
			}
		}
	}
	return of
}

// Table makes the table of a request.
func (d Definition) Table(r *Request) (Table, error) {
	t, err := d.table(r)
	if err != nil {
		return Table{}, fmt.Errorf("table %s: %w", d.Name, err)
	}
	t.Name = d.Name
	if figures, comparisons := t.Figures(); figures+comparisons > 0 && !t.ownModel {
		t.Notes = append(t.Notes, gamesWords(r.gamesOfReps()))
	}
	if d.Name != Rates { // which says so by itself, beside what is alike
		t.Notes = append(t.Notes, d.during(r)...)
	}
	if d.Name != Weekly { // which is of our own alone
		t.Notes = append(t.Notes, kindWords(r.Query, r.Reps)...)
	}
	t.Notes = append(t.Notes, r.assumptions()...)
	return t, nil
}

// during says what was decided during the rush of what the reps of a table of how rushes ended are
// chosen by and, where it breaks them down, broken down by.
func (d Definition) during(r *Request) []string {
	if !d.ofEnds {
		return nil
	}
	during := r.Query.DuringTerms()
	for _, f := range r.By {
		if r.ByAsked && slices.Contains([]string{Rates, Times, Holds, Seasons}, d.Name) && f.During() && !slices.Contains(during, f.Name) {
			during = append(during, f.Name)
		}
	}
	if during == nil {
		return nil
	}
	return []string{duringWords(during)}
}

// kindWords says that reps of other teams' film, or of practice, are among those of our games,
// where nobody asked for them.
func kindWords(q *query.Query, reps []*tags.Rep) []string {
	if q.AsksFor("kind") {
		return nil
	}
	var said []string
	for _, kind := range []struct {
		of          func(*tags.Rep) bool
		words, term string
	}{{scouted, "film of other teams", "scout"}, {practised, "practice", "practice"}} {
		n := 0
		for _, rep := range reps {
			if kind.of(rep) {
				n++
			}
		}
		if n > 0 && n < len(reps) {
			said = append(said, fmt.Sprintf("%s of %s (kind %s) among these: kind!=%[3]s leaves them out.", tags.Capital(tags.Count(n, "rep")), kind.words, kind.term))
		}
	}
	return said
}

// gamesWords says what intervals of so many games are by.
func gamesWords(games int) string {
	if games < stats.LeastGames {
		return fmt.Sprintf("%s: too few to tell how much games differ. An interval takes every rep for a fresh try, and says less of the next game than it seems to.", tags.Capital(tags.Count(games, "game")))
	}
	return fmt.Sprintf("Intervals are by how much the %d games differ, since reps of one game are alike; of a group of fewer than %d games, every rep is taken for a fresh try.", games, stats.LeastGames)
}

// assumedWords says what stands of reps without a tag, because their tag files say that
// there was none of it.
func assumedWords(reps []*tags.Rep) []string {
	counts := map[*tags.Field[tags.Rep]]int{}
	for _, r := range reps {
		for f := range r.Assumed() {
			counts[f]++
		}
	}
	var said []string
	for _, f := range tags.RepFields {
		if n := counts[f]; n > 0 {
			said = append(said, fmt.Sprintf("On %s %s is not tagged and taken as %s, as the tag file says.", tags.Count(n, "rep"), tags.Spoken(f.Name), f.Absent))
		}
	}
	return said
}

// Chart is the chart of the table, of what of names or, where it is empty, of the first of
// ChartOf. The table must be Drawn.
func (d Definition) Chart(r *Request, of string) (Chart, error) {
	c, err := d.chart(r, of)
	if err != nil {
		return nil, err
	}
	return withSmall(c, d.during(r)), nil
}

// noneCount is the text of a table in which none of the chosen reps counts.
const noneCount = "None of the chosen reps counts."

func byTitle(key string) string {
	if key == stats.All {
		return key
	}
	return "by " + key
}

// inSteps puts rows of groups by a fact in its order, where it has one that a reader knows,
// such as that of quarters; else they stay as they are.
func inSteps[T any](f query.Fact, rows []T, name func(T) string) []T {
	slices.SortStableFunc(rows, func(a, b T) int { return f.CompareGroups(name(a), name(b)) })
	return rows
}

func groupsBy(reps []*tags.Rep, f query.Fact) []stats.Group {
	return inSteps(f, stats.By(reps, f.Groups), func(g stats.Group) string { return g.Name })
}
