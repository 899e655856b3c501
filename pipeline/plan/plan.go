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

// Entry is one chapter of a reel.
type Entry struct {
	Chapter string   `json:"chapter"`
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

// How long slates stand.
const (
	openingHold = 4 * tags.Second
	closingHold = 6 * tags.Second
)

// ErrNothing says that a choice holds nothing that can be shown.
var ErrNothing = errors.New("nothing to show")

// Build plans the reel of a choice. Films holds every film file of the games named,
// known by its path. It fails with ErrNothing where no chosen play is on film.
func Build(season *tags.Season, choice Choice, r Recipe, films map[string]Source) (*Plan, error) {
	b := &builder{season: season, recipe: r, films: films}
	all := make([]Source, 0, len(films))
	for _, f := range films {
		all = append(all, f)
	}
	b.plan = &Plan{Title: r.Title, House: HouseFor(all, r), Delivery: Delivery{Mute: r.Mute}}

	takes := b.takes(choice)
	if len(takes) == 0 {
		return nil, fmt.Errorf("%w: %s", ErrNothing, strings.Join(append([]string{"no chosen play is on film"}, b.plan.LeftOut...), "; "))
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

type builder struct {
	season *tags.Season
	recipe Recipe
	films  map[string]Source
	plan   *Plan
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
			e, err := b.entry(t, angle)
			if err != nil {
				b.leaveOut(p, err.Error())
				continue
			}
			t.entries = append(t.entries, e)
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

// entry is a play on one angle.
func (b *builder) entry(t take, angle string) (Entry, error) {
	v, err := view(t, angle)
	if err != nil {
		return Entry{}, err
	}
	src, ok := b.films[v.File]
	if !ok {
		return Entry{}, fmt.Errorf("the film of angle %s was not probed", angle)
	}
	span, reveal, err := b.cut(t, v, src)
	if err != nil {
		return Entry{}, err
	}
	s := Segment{
		Kind:    Film,
		House:   b.plan.House,
		Source:  &src,
		Span:    span,
		Fit:     Letterbox(src.Width, src.Height, b.plan.House),
		Look:    b.recipe.Look,
		Encoder: b.recipe.Encoder,
	}
	s.Layers = b.labels(t, s, reveal)
	e := Entry{Chapter: chapter(t, angle), Game: t.play.Game.ID, Play: t.play.Number, Angle: angle, Segment: s}
	for _, r := range t.reps {
		e.Reps = append(e.Reps, r.Name())
	}
	return e, nil
}

// view is the stretch of film that shows the play and each of its chosen reps.
func view(t take, angle string) (tags.View, error) {
	if len(t.reps) == 0 {
		return t.play.View(angle)
	}
	all, err := t.reps[0].View(angle)
	for _, r := range t.reps[1:] {
		if err != nil {
			break
		}
		var v tags.View
		v, err = r.View(angle)
		all.In, all.Out, all.ToEnd = min(all.In, v.In), max(all.Out, v.Out), all.ToEnd || v.ToEnd
	}
	return all, err
}

// cut is the frames of a view to show, and the first of them that is after the play.
func (b *builder) cut(t take, v tags.View, src Source) (span tags.Span, reveal tags.Frame, err error) {
	clock := src.Clock()
	in, out := v.In, v.Out
	if v.ToEnd {
		out = clock.At(src.Frames)
	}
	finish, finished := t.finish()
	finish += v.Snap
	finished = finished && v.Snaps
	if v.Snaps {
		if start := v.Snap - b.recipe.Before; start > in || b.recipe.Beyond {
			in = start
		}
	}
	if finished {
		if end := finish + b.recipe.After; end < out || b.recipe.Beyond {
			out = end
		}
	} else {
		finish = out - b.recipe.After
	}
	span.In = max(clock.FrameAt(in), 0)
	span.Out = min(clock.FrameAt(out), src.Frames)
	if span.Len() <= 0 {
		return span, 0, fmt.Errorf("the cut on angle %s holds no frame", v.Angle)
	}
	return span, min(max(clock.FrameAt(finish), span.In), span.Out), nil
}

// finish is the last finish among the play and its chosen reps, from the snap.
func (t take) finish() (tags.Time, bool) {
	at, ok := t.play.Since(tags.Finish)
	for _, r := range t.reps {
		if f, known := r.Since(tags.Finish); known {
			at, ok = max(at, f), true
		}
	}
	return at, ok
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
