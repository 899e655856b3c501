package plan

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Plan is a reel, decided: what is shown in which order, and how it is delivered.
type Plan struct {
	Title    string   `json:"title"`
	House    House    `json:"house"`
	Entries  []Entry  `json:"entries"`
	Delivery Delivery `json:"delivery"`
	// LeftOut says, play by play, what was chosen but cannot be shown.
	LeftOut []string `json:"left_out,omitempty"`
}

// Entry is one segment of a reel. Those that follow each other under one name are one
// chapter.
type Entry struct {
	Chapter string   `json:"chapter"`
	Part    string   `json:"part,omitempty"` // replay or freeze; empty is the play itself
	Game    string   `json:"game,omitempty"`
	Play    int      `json:"play,omitempty"`
	Angle   string   `json:"angle,omitempty"`
	Reps    []string `json:"reps,omitempty"`
	Segment Segment  `json:"segment"`
}

// Delivery is what belongs to the reel as a whole and to no segment.
type Delivery struct {
	Mute bool `json:"mute"`
}

// Frames is the length of the reel at the house rate.
func (p *Plan) Frames() tags.Frame {
	var n tags.Frame
	for _, e := range p.Entries {
		n += e.Segment.Frames()
	}
	return n
}

// Clips is how many times a play is shown, replays apart.
func (p *Plan) Clips() int {
	n := 0
	for _, e := range p.Entries {
		if e.Segment.Kind == Film && e.Part == "" {
			n++
		}
	}
	return n
}

// Digest names the plan by everything in it and by the toolchain that will render it.
func (p *Plan) Digest(toolchain string) (string, error) {
	data, err := json.Marshal(struct {
		Format, Draw int
		Toolchain    string
		Plan         *Plan
	}{formatVersion, DrawVersion, toolchain, p})
	if err != nil {
		return "", fmt.Errorf("digest of a plan: %w", err)
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}

// Choice is what was asked for and what it found.
type Choice struct {
	Asked string       // in words, for the opening slate
	Plays []*tags.Play // every play to show, each once
	Reps  []*tags.Rep  // the chosen reps; none where the unit is the play
}

// Without is c without one play and its reps.
func (c Choice) Without(game string, play int) Choice {
	gone := func(p *tags.Play) bool { return p.Game.ID == game && p.Number == play }
	c.Plays = slices.DeleteFunc(slices.Clone(c.Plays), gone)
	c.Reps = slices.DeleteFunc(slices.Clone(c.Reps), func(r *tags.Rep) bool { return gone(r.Play) })
	return c
}

// How long slates stand, and how long a label that tells the outcome is read at least.
const (
	leastReveal = tags.Second
	openingHold = 4 * tags.Second
	closingHold = 6 * tags.Second
)

// ErrNothing says that a choice holds nothing that can be shown.
var ErrNothing = errors.New("nothing to show")

// Build plans the reel of a choice. Films holds every film file of the games named,
// known by its path. It fails with ErrNothing where no chosen play is on film.
func Build(season *tags.Season, choice Choice, r Recipe, films map[string]Source) (*Plan, error) {
	b := newBuilder(season, r, films)
	takes := b.takes(choice)
	if len(takes) == 0 {
		return nil, b.nothing()
	}
	var reps []*tags.Rep
	var entries []Entry
	for _, t := range takes {
		reps = append(reps, t.reps...)
		entries = append(entries, t.entries...)
	}
	shown := shown{plays: len(takes), reps: reps, games: b.games(takes)}
	b.slate("Title", b.opening(choice, shown), openingHold)
	b.plan.Entries = append(b.plan.Entries, entries...)
	b.slate("Numbers", b.closing(shown), closingHold)
	return b.plan, nil
}

// Ahead is the film segments that reels of a choice will most likely need: each rep by
// itself, and each play with all of its chosen reps. What it leaves out is said as in a
// plan. It fails with ErrNothing where no chosen play is on film.
func Ahead(season *tags.Season, choice Choice, r Recipe, films map[string]Source) (segments []Segment, leftOut []string, err error) {
	b := newBuilder(season, r, films)
	takes := b.takes(choice)
	leftOut = b.plan.LeftOut
	if len(takes) == 0 {
		return nil, nil, b.nothing()
	}
	for _, rep := range choice.Reps {
		takes = append(takes, b.takes(Choice{Plays: []*tags.Play{rep.Play}, Reps: []*tags.Rep{rep}})...)
	}
	for _, t := range takes {
		for _, e := range t.entries {
			segments = append(segments, e.Segment)
		}
	}
	return segments, leftOut, nil
}

type builder struct {
	season *tags.Season
	recipe Recipe
	films  map[string]Source
	plan   *Plan
}

func newBuilder(season *tags.Season, r Recipe, films map[string]Source) *builder {
	all := make([]Source, 0, len(films))
	for _, f := range films {
		all = append(all, f)
	}
	return &builder{season: season, recipe: r, films: films, plan: &Plan{Title: r.Title, House: HouseFor(all, r), Delivery: Delivery{Mute: r.Mute}}}
}

func (b *builder) nothing() error {
	return fmt.Errorf("%w: %s", ErrNothing, strings.Join(append([]string{"no chosen play is on film"}, b.plan.LeftOut...), "; "))
}

// take is one play of a reel: its chosen reps, and an entry for each angle.
type take struct {
	play    *tags.Play
	reps    []*tags.Rep
	entries []Entry
}

// takes is every play that can be shown, in the recipe's order.
func (b *builder) takes(choice Choice) []take {
	byPlay := map[*tags.Play][]*tags.Rep{}
	for _, r := range choice.Reps {
		byPlay[r.Play] = append(byPlay[r.Play], r)
	}
	var takes []take
	for _, p := range choice.Plays {
		t := take{play: p, reps: byPlay[p]}
		angles := b.angles(p)
		if len(angles) == 0 {
			b.leaveOut(p, "it is not on the angles asked for")
		}
		for _, angle := range angles {
			entries, err := b.entries(t, angle)
			if err != nil {
				b.leaveOut(p, err.Error())
				continue
			}
			t.entries = append(t.entries, entries...)
		}
		if len(t.entries) > 0 {
			takes = append(takes, t)
		}
	}
	if compare := b.compare(); compare != nil {
		slices.SortStableFunc(takes, compare)
	}
	return takes
}

func (b *builder) leaveOut(p *tags.Play, why string) {
	b.plan.LeftOut = append(b.plan.LeftOut, p.Name()+": "+why)
}

// firstAngles go before all others where the recipe names no angles: the end zone shows
// the rush, the sideline its depth (common practice).
var firstAngles = []string{"endzone", "sideline"}

func (b *builder) angles(p *tags.Play) []string {
	all := p.Angles()
	want := b.recipe.Angles
	if len(want) == 0 {
		want = append(slices.Clone(firstAngles), all...)
	}
	var angles []string
	for _, a := range want {
		if slices.Contains(all, a) && !slices.Contains(angles, a) {
			angles = append(angles, a)
		}
	}
	return angles
}

// compare is the recipe's order; nil keeps film order.
func (b *builder) compare() func(x, y take) int {
	switch b.recipe.Order {
	case ByOutcome:
		list := b.season.Vocabulary.List("outcome")
		return by(func(t take) int {
			best := len(list.Words)
			for _, r := range t.reps {
				best = min(best, list.Rank(r.Outcome))
			}
			return best
		})
	case ByTimeToBeat:
		return by(func(t take) tags.Time {
			best := tags.Time(1 << 62)
			for _, r := range t.reps {
				if at, ok := r.TimeToBeat(); ok {
					best = min(best, at)
				}
			}
			return best
		})
	case ByDown:
		return by(func(t take) int {
			const last = 1 << 20
			if t.play.Down == nil {
				return last
			}
			rank := *t.play.Down * 200
			if t.play.Distance == nil {
				return rank + 199
			}
			return rank + *t.play.Distance
		})
	default:
		return nil
	}
}

func by[K cmp.Ordered](key func(take) K) func(x, y take) int {
	return func(x, y take) int { return cmp.Compare(key(x), key(y)) }
}

// games is the games of takes, in order of the season.
func (b *builder) games(takes []take) []*tags.Game {
	var games []*tags.Game
	for _, g := range b.season.Games {
		if slices.ContainsFunc(takes, func(t take) bool { return t.play.Game == g }) {
			games = append(games, g)
		}
	}
	return games
}

// chapter names an entry by its reps: wk1-harbor-p014-91+99 endzone.
func chapter(t take, angle string) string {
	name := t.play.Name()
	for i, r := range t.reps {
		if i == 0 {
			name = r.Name()
			continue
		}
		name += "+" + strings.TrimPrefix(r.Name(), t.play.Name()+"-")
	}
	return name + " " + angle
}

// slate adds a card to the plan.
func (b *builder) slate(chapter string, c Card, hold tags.Time) {
	b.plan.Entries = append(b.plan.Entries, Entry{Chapter: chapter, Segment: Segment{
		Kind:    Slate,
		House:   b.plan.House,
		Card:    &c,
		Hold:    b.plan.House.Rate.Ceil(hold),
		Look:    b.recipe.Look,
		Encoder: b.recipe.Encoder,
	}})
}
