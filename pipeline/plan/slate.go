package plan

import (
	"fmt"
	"strings"

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
}

// shown is what takes hold, each play and each rep once.
func (b *builder) shown(takes []take) shown {
	s := shown{games: b.games(takes)}
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

// opening says what was asked for and where it comes from.
func (b *builder) opening(asked string, s shown) Card {
	return Card{Title: b.plan.Title, Lines: nonEmpty(asked, s.count()), Small: gameLines(s.games)}
}

// sectionCard says what a section shows, with its own numbers.
func (b *builder) sectionCard(p Part, s shown) Card {
	card := Card{Title: p.Title, Lines: nonEmpty(p.Asked, s.count())}
	if len(s.reps) > 0 && !p.byResult() {
		b.addShares(&card, s.reps)
	}
	return card
}

// count is "6 reps on 5 plays, 2 games".
func (s shown) count() string {
	text := plural(s.plays, "play")
	if len(s.reps) > 0 {
		text = plural(len(s.reps), "rep") + " on " + text
	}
	return text + ", " + plural(len(s.games), "game")
}

func plural(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

func gameLines(games []*tags.Game) []string {
	var lines []string
	for _, g := range games {
		line := g.Opponent
		if line == "" {
			line = g.ID
		}
		if g.Date != "" {
			line = g.Date + "  " + line
		}
		lines = append(lines, line)
	}
	return lines
}

// caution stands on every reel that shows how contact is made.
const caution = "Technique and contact are taught by qualified coaches under the league's rules: head up, no contact with the head or neck, no late or low hit on a passer. " +
	"A player with signs of concussion is out until a licensed clinician clears him."

// closing is the numbers of exactly the reps shown.
func (b *builder) closing(s shown) Card {
	card := Card{Title: b.plan.Title, Lines: []string{s.count()}, Small: gameLines(s.games)}
	if len(s.reps) == 0 {
		return card
	}
	if s.byResult {
		card.Lines = append(card.Lines, "Chosen by how they ended, so no rate can be told of them.")
	} else {
		card.Lines = append(card.Lines, b.addShares(&card, s.reps))
	}
	card.Small = []string{strings.Join(card.Small, separator)}
	card.Caution = caution
	return card
}

// addShares puts the numbers of reps on a card, and says them in one sentence.
func (b *builder) addShares(card *Card, reps []*tags.Rep) (sentence string) {
	shares, sentence := stats.Shares(reps, b.season.Vocabulary)
	for _, sh := range shares {
		card.Shares = append(card.Shares, Share{Name: sh.Name, K: sh.K, N: sh.N, Low: sh.Low, High: sh.High, Bar: sh.Bar})
	}
	return sentence
}
