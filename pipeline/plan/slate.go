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
}

// opening says what was asked for and where it comes from.
func (b *builder) opening(c Choice, s shown) Card {
	return Card{Title: b.plan.Title, Lines: nonEmpty(c.Asked, s.count()), Small: gameLines(s.games)}
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
	shares, sentence := stats.Shares(s.reps, b.season.Vocabulary)
	for _, sh := range shares {
		card.Shares = append(card.Shares, Share{Name: sh.Name, K: sh.K, N: sh.N, Low: sh.Low, High: sh.High, Bar: sh.Bar})
	}
	card.Lines = append(card.Lines, sentence)
	card.Small = []string{strings.Join(card.Small, separator)}
	card.Caution = caution
	return card
}
