package report

import (
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// Line is the blockers of an opponent: what each does, and what that gives up.
type Line struct {
	Opponent string
	Reps     int
	Cards    []Card // the most seen first
}

// Card is one blocker.
type Card struct {
	Name, Position string
	Reps           int
	Sets           []SetsIn   // all, then situation by situation
	Gives          []GivesSet // the most frequent set first
}

// SetsIn is his sets in one situation, the most frequent first.
type SetsIn struct {
	Situation string
	Sets      []stats.NamedRate
}

// GivesSet is how often rushers won against one of his sets.
type GivesSet struct {
	Set string
	Won stats.Rate
}

// NoLine is said where there is no film of the next opponent.
const NoLine = "Of the next opponent's line no film is tagged: tag a game of kind scout, whose opponent is the team to come."

// lineOf is the line of the next opponent: of the last game that is scouting, but for opponents
// who were played since. Reps against it count from all film of it, whatever else is asked for;
// nil where there is none.
func lineOf(r *Request) *Line {
	var next *tags.Game
	for _, g := range r.Season.Games {
		played := func(own *tags.Game) bool {
			return !own.Scouted() && !own.Practised() && own.Opponent == g.Opponent && own.Date != "" && own.Date >= g.Date
		}
		if g.Scouted() && g.Opponent != "" && (next == nil || g.Date >= next.Date) && !slices.ContainsFunc(r.Season.Games, played) {
			next = g
		}
	}
	if next == nil {
		return nil
	}
	var reps []*tags.Rep
	for _, rep := range r.Season.Reps() {
		if rep.Play.Game.Opponent == next.Opponent && rep.Blocker != nil && !practised(rep) { // of which the blockers are our own
			reps = append(reps, rep)
		}
	}
	reps = stats.Dropbacks.Rushes(reps)
	l := &Line{Opponent: next.Opponent, Reps: len(reps)}
	for _, set := range stats.Split(reps, func(rep *tags.Rep) []string { return []string{rep.Blocker.Called()} }) {
		l.Cards = append(l.Cards, cardOf(r, set))
	}
	return l
}

func cardOf(r *Request, man stats.Set) Card {
	c := Card{Name: man.Name, Reps: len(man.Reps), Position: man.Reps[0].Blocker.Position}
	class, _ := r.Query.Registry().Find("down-class")
	situation, compare := ordered(r.Query.Registry(), class)
	add := func(by string, of func(*tags.Rep) []string, compare func(a, b string) int) {
		for _, t := range stats.Tendencies(man.Reps, by, of, compare) {
			if t.What != "set" {
				continue
			}
			for _, s := range t.Situations {
				if len(s.Shares) > 0 && s.Name != stats.NotTagged {
					c.Sets = append(c.Sets, SetsIn{s.Name, s.Shares})
				}
			}
		}
	}
	add(stats.All, everyone, strings.Compare)
	add(class.Name, situation, compare)
	for _, g := range stats.By(stats.Dropbacks.Counted(man.Reps), func(rep *tags.Rep) []string { return []string{rep.Set} }) {
		if g.Name != stats.NotTagged && g.Won.N > 0 {
			c.Gives = append(c.Gives, GivesSet{g.Name, g.Won})
		}
	}
	return c
}

// Words is the sets of a situation: "short 5 of 9, jump 3 of 9".
func (s SetsIn) Words() string {
	var words []string
	for _, share := range s.Sets[:min(len(s.Sets), mostShares)] {
		words = append(words, strings.TrimSpace(share.Name+" "+countWords(share.Count)+" "+rateWords(share.Rate)))
	}
	return strings.Join(words, "; ")
}

// lineRow is one thing that a blocker does.
type lineRow struct {
	Card
	what, in string
	stats.Rate
}

var lineColumns = columns[lineRow]{
	{Column{Key: "blocker", Doc: "Who blocks.", Least: 12, Fold: true}, func(l lineRow) any { return l.Name }},
	{Column{Key: "position", Doc: "His position."}, func(l lineRow) any { return l.Position }},
	{Column{Key: "in", Doc: "The situation; of what a set gives up, gives up.", Least: 10}, func(l lineRow) any { return l.in }},
	{Column{Key: "set", Doc: "The set.", Least: 8}, func(l lineRow) any { return l.what }},
	{Column{Key: "count", Kind: Rate, Unit: "reps", Doc: "How often he takes it there; of what it gives up, how often the rusher won."}, func(l lineRow) any { return l.Rate }},
}

const givesUp = "gives up"

func (l *Line) rows() []lineRow {
	var rows []lineRow
	for _, c := range l.Cards {
		for _, s := range c.Sets {
			for _, share := range s.Sets {
				rows = append(rows, lineRow{c, share.Name, s.Situation, share.Rate})
			}
		}
		for _, g := range c.Gives {
			rows = append(rows, lineRow{c, g.Set, givesUp, g.Won})
		}
	}
	return rows
}

// Blocks is the line as text, a block a blocker.
func (l *Line) Blocks() []Block {
	var blocks []Block
	for _, c := range l.Cards {
		one := &Line{Cards: []Card{c}}
		b := lineColumns.block(one.rows(), pick{key: "in"}, pick{key: "set"}, pick{key: "count"})
		b.Rows = append([][]string{{strings.Join(slices.DeleteFunc([]string{l.Opponent, c.Name, c.Position, tags.Count(c.Reps, "rep")}, func(s string) bool { return s == "" }), ", ")}}, b.Rows...)
		blocks = append(blocks, b)
	}
	return blocks
}
