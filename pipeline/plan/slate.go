package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// shown is what a reel holds: the slates tell of exactly this.
type shown struct {
	plays int
	reps  []*tags.Rep
	games []*tags.Game
	// byResult says that how reps ended decided which are shown.
	byResult bool
	// byType says that kinds of play were asked for, so that rates may be of others than
	// dropbacks.
	byType bool
}

// shown is what takes hold, each play and each rep once.
func (b *builder) shown(takes []take) shown {
	s := shown{games: onceEach(b.games(takes))}
	plays, reps := map[*tags.Play]bool{}, map[*tags.Rep]bool{}
	for _, t := range takes {
		plays[t.play] = true
		for _, r := range t.reps {
			if !reps[r] {
				reps[r] = true
				s.reps = append(s.reps, r)
			}
		}
	}
	s.plays = len(plays)
	return s
}

// onceEach is games without the further files of one, which has one date and two teams. Of two
// that name no opponent it is not known that they are one.
func onceEach(games []*tags.Game) []*tags.Game {
	var each []*tags.Game
	for _, g := range games {
		same := func(o *tags.Game) bool {
			return g.Date != "" && g.Opponent != "" && o.Date == g.Date && o.Opponent == g.Opponent && o.Us == g.Us
		}
		if !slices.ContainsFunc(each, same) {
			each = append(each, g)
		}
	}
	return each
}

// opening says what was asked for and where it comes from.
func (b *builder) opening(asked string, s shown) Card {
	card := Card{Title: b.plan.Title, Lines: nonEmpty(asked, s.count()), Small: gameLines(s.games)}
	if strings.EqualFold(asked, card.Title) { // the title is the question
		card.Lines = nonEmpty(s.count())
	}
	card.Whose, card.Title = b.whose(card.Title, s)
	if b.about != nil { // the title says what was asked for
		card.Lines = nonEmpty(b.about.What, asked, s.count())
	}
	return card
}

// whose is whose reel it is: the one player's whose rushes were asked for, as far as he may be
// named, or else the staff's. A title that says so too is given without it.
func (b *builder) whose(title string, s shown) (whose, rest string) {
	if b.recipe.Whose != "" && b.recipe.Names != NoNames {
		for _, r := range s.reps {
			if r.Rusher.Key() == b.recipe.Whose {
				who := b.who(r)
				if rest, ok := strings.CutSuffix(title, ": "+who); ok {
					title = rest
				}
				return who, title
			}
		}
	}
	for _, g := range s.games {
		switch {
		case g.Scouted(): // its us is another team
			continue
		case whose != "" && g.Us != whose:
			return "", title
		}
		whose = g.Us
	}
	if b.recipe.Handout.Player != "" || strings.Contains(title, whose) {
		return "", title
	}
	return whose, title
}

// How long a slate that is more than a title stands: people read about fifteen characters
// of subtitles a second (common practice), and have to look up first.
const (
	readASecond = 15
	mostRead    = 15 * tags.Second
)

// read is how long it takes to read a card.
func (c Card) read() tags.Time { return reading(c.Title + strings.Join(c.Lines, " ")) }

// reading is how long it takes to read a text.
func reading(text string) tags.Time {
	n := len([]rune(text))
	return min(max(openingHold, tags.Second*tags.Time(2+n/readASecond)), mostRead)
}

// mostSlates is which part of a reel may be slates at most: one in so many.
const mostSlates = 4

// leastHolds is the shortest that slates may be made to stand, by chapter; the empty one is of all
// others.
var leastHolds = map[string]tags.Time{"Title": 5 * tags.Second / 2, "Numbers": 9 * tags.Second / 2, "": 3 * tags.Second / 2}

// shorten makes slates as short as they must be to take no more of the reel than mostSlates
// allows, and may be. A reel of little film and one section does without that section's, since
// its title says as much. A reel without sections has no more than its title and its numbers,
// which stay; so do slates that tell of a technique.
func (b *builder) shorten(entries []Entry) []Entry {
	isSlate := func(e Entry) bool { return e.Segment.Kind == Slate && e.Shows == ShowsPlay }
	var slates, rest tags.Frame
	for _, e := range entries {
		if isSlate(e) {
			slates += e.Segment.Frames()
		} else if e.Segment.Kind != Slate {
			rest += e.Segment.Frames()
		}
	}
	room := rest / (mostSlates - 1)
	if slates <= room || b.about != nil || len(b.recipe.Sections) == 0 {
		return entries
	}
	was := slates
	for i := range entries {
		if e := &entries[i]; isSlate(*e) {
			least, ok := leastHolds[e.Chapter]
			if !ok {
				least = leastHolds[""]
			}
			hold := max(e.Segment.Hold*room/was, b.plan.House.Rate.Ceil(least))
			slates -= e.Segment.Hold - min(hold, e.Segment.Hold)
			e.Segment.Hold = min(hold, e.Segment.Hold)
		}
	}
	isSection := func(e Entry) bool {
		_, outer := leastHolds[e.Chapter]
		return isSlate(e) && !outer
	}
	sections := 0
	for _, e := range entries {
		if isSection(e) {
			sections++
		}
	}
	if slates > room && sections == 1 {
		entries = slices.DeleteFunc(entries, isSection)
	}
	return entries
}

// sectionCard says what a section shows, with its own numbers.
func (b *builder) sectionCard(p Part, s shown) Card {
	card := Card{Title: p.Title, Lines: nonEmpty(s.count())}
	if s.plays < p.Least {
		card.Lines = append(card.Lines, fmt.Sprintf("Fewer than the %d it should be.", p.Least))
	}
	if len(s.reps) > 0 && !p.ByResult {
		b.addShares(&card, s.reps, p.ByType)
	}
	return card
}

// count is "6 reps on 5 plays, 2 games".
func (s shown) count() string {
	text := tags.Count(s.plays, "play")
	if len(s.reps) > 0 {
		text = tags.Count(len(s.reps), "rep") + " on " + text
	}
	return text + ", " + CountGames(s.games)
}

// CountGames is how many games there are, practices apart: "2 games and 1 practice".
func CountGames(games []*tags.Game) string {
	practices := 0
	for _, g := range games {
		if g.Practised() {
			practices++
		}
	}
	var said []string
	if n := len(games) - practices; n > 0 {
		said = append(said, tags.Count(n, "game"))
	}
	if practices > 0 {
		said = append(said, tags.Count(practices, "practice"))
	}
	return strings.Join(said, " and ")
}

func gameLines(games []*tags.Game) []string {
	var lines []string
	for _, g := range games {
		lines = append(lines, gameLine(g))
	}
	return lines
}

// gameLine is "Harbor State, Sep 4, 2026".
func gameLine(g *tags.Game) string {
	line := g.Opponent
	switch {
	case line != "" && g.Scouted() && g.Us != "": // which we did not play
		line = g.Us + " against " + line
	case line != "":
	case g.Practised():
		line = "Practice"
	default:
		line = g.ID
	}
	if g.Date != "" {
		line += ", " + day(g.Date)
	}
	return line
}

// day is a date as a room says it: Sep 4, 2026.
func day(date string) string {
	at, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return at.Format("Jan 2, 2006")
}

// closing is the numbers of exactly the reps shown. The caution stands on every reel that
// shows how contact is made.
func (b *builder) closing(s shown) Card {
	card := Card{Lines: []string{s.count()}, Small: gameLines(s.games)}
	card.Whose, card.Title = b.whose(b.plan.Title, s)
	if len(s.reps) == 0 && b.about == nil {
		return card
	}
	card.Caution = b.season.Vocabulary.Caution
	if len(s.reps) == 0 {
		return card
	}
	if s.byResult {
		card.Lines = append(card.Lines, "Chosen by how they ended, so no rate can be told of them.")
	} else {
		card.Lines = append(card.Lines, b.addShares(&card, s.reps, s.byType))
	}
	card.Small = []string{strings.Join(card.Small, separator)}
	return card
}

// addShares puts the numbers of reps on a card, and says them in one sentence.
func (b *builder) addShares(card *Card, reps []*tags.Rep, byType bool) (sentence string) {
	shares, sentence := stats.ScopeOf(reps, byType).Shares(reps, b.season.Vocabulary)
	for _, sh := range shares {
		card.Shares = append(card.Shares, Share{Name: sh.Name, K: sh.K, N: sh.N, Low: sh.Low, High: sh.High, Bar: sh.Bar, Unknown: sh.Unknown})
	}
	return sentence
}
