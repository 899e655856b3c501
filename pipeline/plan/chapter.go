package plan

import (
	"cmp"
	"fmt"
	"strings"

	"trenchcut/tags"
)

// Chapter is a stretch of a reel under one name: a slate, or a play on one angle.
type Chapter struct {
	Name  string    // as Entry.Chapter
	Title string    // as viewers read it: "3: 2nd & 10 · Play 24, Granite Valley, endzone"
	Span  tags.Span // frames of the reel
}

// Chapters returns the chapters of the reel, in order and without gaps.
func (p *Plan) Chapters() []Chapter {
	var list []Chapter
	clips := 0
	for i, span := range p.Places() {
		e := p.Entries[i]
		if e.Clip() {
			clips++
		} else if n := len(list); n > 0 && list[n-1].Name == e.Chapter {
			list[n-1].Span.Out = span.Out
			continue
		}
		list = append(list, Chapter{e.Chapter, e.Title(clips), span})
	}
	return list
}

// Places returns where in the reel each entry stands, in frames of the reel.
func (p *Plan) Places() []tags.Span {
	spans := make([]tags.Span, len(p.Entries))
	var n tags.Frame
	for i, e := range p.Entries {
		spans[i] = tags.Span{In: n, Out: n + e.Segment.Frames()}
		n = spans[i].Out
	}
	return spans
}

// Title names an entry as viewers read it. Clip is the number of the clip that it is or belongs to.
func (e Entry) Title(clip int) string {
	if e.Segment.Kind != Film {
		return e.Chapter
	}
	title := fmt.Sprintf("%d: %s, %s", clip, e.LeadOf(), e.AngleWords())
	switch e.Shows {
	case ShowsModel:
		title += ", " + strings.ToLower(LikeThis)
	case ShowsWhy:
		title += ", what to do"
	case ShowsReplay, ShowsFreeze:
		title += ", again"
	}
	return title
}

// LeadOf is which play an entry shows, and of which game where there are several.
func (e Entry) LeadOf() string {
	if e.Of == "" {
		return e.Lead
	}
	return e.Lead + ", " + e.Of
}

// AngleWords is which angles an entry shows: "endzone over sideline".
func (e Entry) AngleWords() string {
	if e.Below == "" {
		return e.Angle
	}
	return e.Angle + " over " + e.Below
}

// lead sets on each entry of film which play it shows: the situation, as its label tells it, or the
// play's number, and the game where the reel is of several, since numbers of plays repeat.
func (b *builder) lead(entries []Entry) {
	games := b.gamesOf(entries)
	last := ""
	for i := range entries {
		e := &entries[i]
		if e.Clip() {
			last = cmp.Or(e.situation(), fmt.Sprintf("Play %d", e.Play))
		}
		if e.Segment.Kind == Film {
			e.Lead, e.Of = last, games[e.Game]
		}
	}
}

// situation is what the label over an entry leads with. The heading over a model is no situation.
func (e Entry) situation() string {
	says := ""
	for _, l := range e.Segment.Layers {
		if l.Label != nil && l.Label.Lead != LikeThis {
			says = cmp.Or(l.Label.Lead, says)
		}
	}
	return says
}

// gamesOf is the games of a reel of several, by id, in words that tell them apart: their opponents,
// or dates as well.
func (b *builder) gamesOf(entries []Entry) map[string]string {
	games, opponents := map[string]*tags.Game{}, map[string]bool{}
	for _, e := range entries {
		for _, g := range b.season.Games {
			if g.ID == e.Game && games[g.ID] == nil {
				games[g.ID] = g
				opponents[g.Opponent] = true
			}
		}
	}
	if len(games) < 2 {
		return nil
	}
	plain := len(opponents) == len(games) && !opponents[""]
	words := map[string]string{}
	for id, g := range games {
		words[id] = g.Opponent
		if !plain || g.Scouted() { // whose opponent is not ours
			words[id] = gameLine(g)
		}
	}
	return words
}
