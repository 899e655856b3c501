package page

import (
	"encoding/base64"
	"encoding/json"
	"html/template"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// Card is a take as the page lists it, with the models for it below it.
type Card struct {
	Take
	Picture template.URL // empty is none
	Under   []Card
}

// Cards is the takes of a section, each model below the rep that it is for.
func (p *Page) Cards(s Section) []Card {
	var cards []Card
	for _, t := range s.Takes {
		c := Card{Take: t, Picture: p.pictures[t.Clips[0].Number]}
		if n := len(cards); t.Model && n > 0 {
			cards[n-1].Under = append(cards[n-1].Under, c)
			continue
		}
		cards = append(cards, c)
	}
	return cards
}

// Number is that of its first clip.
func (t Take) Number() int { return t.Clips[0].Number }

// Starts is when its first clip does.
func (t Take) Starts() string { return t.Clips[0].Starts }

// Angles names the angles that it is shown on.
func (t Take) Angles() string {
	var names []string
	for _, c := range t.Clips {
		names = append(names, c.Angle)
	}
	return strings.Join(names, ", ")
}

// Again is what of it is shown once more, on all its angles.
func (t Take) Again() []Again {
	var list []Again
	for _, c := range t.Clips {
		for _, a := range c.Again {
			if len(t.Clips) > 1 && a.Name != againNames[plan.ShowsWhy] {
				a.Name += ", " + c.Angle
			}
			list = append(list, a)
		}
	}
	return list
}

// Data is its clips as the page's script reads them.
func (t Take) Data() (string, error) {
	type clip struct {
		N     int         `json:"n"`
		Angle string      `json:"angle"`
		In    json.Number `json:"in"`
		Out   json.Number `json:"out"`
		Seek  json.Number `json:"seek"`
		Snap  json.Number `json:"snap"`
	}
	var clips []clip
	for _, c := range t.Clips {
		clips = append(clips, clip{c.Number, c.Angle, json.Number(c.In), json.Number(c.Out), json.Number(c.Seek), json.Number(c.Snap)})
	}
	data, err := json.Marshal(clips)
	return string(data), err
}

// Show puts a picture on a clip's card, a JPEG.
func (p *Page) Show(clip int, jpeg []byte) { p.pictures[clip] = inside(jpeg) }

// ShowPoster puts a picture where the film is before it plays, a JPEG.
func (p *Page) ShowPoster(jpeg []byte) { p.Poster = inside(jpeg) }

// inside is a JPEG inside the page: a page opened from a stick may read no other file.
func inside(jpeg []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg))
}

// AngleNames is the angles of the reel, each once, where there is a choice.
func (p *Page) AngleNames() []string {
	var names []string
	for _, s := range p.Sections {
		for _, t := range s.Takes {
			for _, c := range t.Clips {
				if !slices.Contains(names, c.Angle) {
					names = append(names, c.Angle)
				}
			}
		}
	}
	return names
}

// counted is what a section's slate counts first.
func counted(c *plan.Card) string {
	if c == nil || len(c.Shares) == 0 {
		return ""
	}
	return plain(c.Shares[0].Name) + " " + sharesOf(c)[0].Words()
}

// mostNext is how many things to do a player is told.
const mostNext = 3

// player adds what is for the one player whom the reel is of: his numbers in all games, and
// what he works on next.
func (w *walk) player() {
	if len(w.shown) == 0 {
		return
	}
	him := w.shown[0].Rusher.Key()
	if slices.ContainsFunc(w.shown, func(r *tags.Rep) bool { return r.Rusher.Key() != him }) {
		return
	}
	var all []*tags.Rep
	for _, r := range w.season.Reps() {
		if r.Rusher.Key() == him {
			all = append(all, r)
		}
	}
	w.page.Of = plain(w.who[w.shown[0]]) + ", " + plan.CountGames(gamesOf(all))
	shares, _ := stats.ScopeOf(all, false).Shares(all, w.season.Vocabulary)
	var said []string
	for _, s := range shares {
		if s.N > 0 {
			said = append(said, plain(s.Name)+" "+s.Words())
		}
	}
	w.page.Season = strings.Join(said, separator)
	for _, work := range w.page.Practice(w.season.Vocabulary).Work {
		if len(w.page.Next) == mostNext {
			break
		}
		says := work.What
		if len(work.Do) > 0 && work.Do[0] != says {
			says += " " + work.Do[0]
		}
		w.page.Next = append(w.page.Next, plain(says))
	}
}
