package plan

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/query"
)

// Plan is a reel, decided: what is shown in which order, and how it is delivered.
type Plan struct {
	Title    string   `json:"title"`
	House    House    `json:"house"`
	Entries  []Entry  `json:"entries"`
	Delivery Delivery `json:"delivery"`
	// ByType says that the numbers may be of other passes than dropbacks; see
	// [stats.ScopeOf].
	ByType bool `json:"by_type,omitempty"`
	// Few is the sections that show fewer plays than the recipe wants of them.
	Few []Few `json:"few,omitempty"`
	// LeftOut says, play by play, what was chosen but cannot be shown, or not as it was to be.
	LeftOut []string `json:"left_out,omitempty"`
}

// Entry is one segment of a reel. Those that follow each other under one name are one
// chapter.
type Entry struct {
	Chapter string `json:"chapter"`
	Shows   Shows  `json:"shows,omitempty"`
	Game    string `json:"game,omitempty"`
	Play    int    `json:"play,omitempty"`
	Angle   string `json:"angle,omitempty"`
	Below   string `json:"below,omitempty"` // the angle shown below Angle, in step with it
	// Lead says in words which play an entry of film shows, "2nd & 10 · Play 24", and Of of which
	// game, where the reel is of several: "Granite Valley".
	Lead string `json:"lead,omitempty"`
	Of   string `json:"of,omitempty"`
	// Reps names the reps that are shown and Who their rushers, as far as they may be named.
	Reps []string `json:"reps,omitempty"`
	Who  []string `json:"who,omitempty"`
	// Says is what to do about the rep shown, where the entry says so: first what went wrong.
	Says    []string `json:"says,omitempty"`
	Segment Segment  `json:"segment"`
	// Damaged says where the film of the segment is damaged and what the decoder said, where
	// it is shown all the same.
	Damaged string `json:"damaged,omitempty"`
}

// Delivery is what belongs to the reel as a whole and to no segment.
type Delivery struct {
	Mute bool `json:"mute"`
	// Handout is the name of the folder that the reel is handed out in, whose manifest then
	// names no rep, play or film. Empty is a reel for the room.
	Handout string `json:"handout,omitempty"`
}

// Slates is where the opening and the closing slate are among the entries: the staff's own
// pictures may stand before the one and behind the other. Without any, first is no less than last.
func (p *Plan) Slates() (first, last int) {
	last = len(p.Entries) - 1
	for first < last && p.Entries[first].Shows == ShowsStaff {
		first++
	}
	for last > first && p.Entries[last].Shows == ShowsStaff {
		last--
	}
	return first, last
}

// Frames is the length of the reel at the house rate.
func (p *Plan) Frames() tags.Frame {
	var n tags.Frame
	for _, e := range p.Entries {
		n += e.Segment.Frames()
	}
	return n
}

// Shows says what an entry shows of a play.
type Shows string

// What an entry may show of a play; slates show nothing of one.
const (
	ShowsPlay   Shows = "" // the play itself
	ShowsReplay Shows = "replay"
	ShowsFreeze Shows = "freeze"
	// ShowsOutcome is the last picture of a play, held to tell what became of it.
	ShowsOutcome Shows = "outcome"
	ShowsModel   Shows = "model" // another play, as the model of the one before
	ShowsWhy     Shows = "why"   // the play stopped, with what to do about it
	ShowsTold    Shows = "told"  // a slate that stands for itself
	ShowsStaff   Shows = "staff" // a picture of the staff's own
)

// Angles names the angles of an entry: endzone, or endzone+sideline.
func (e Entry) Angles() string {
	if e.Below == "" {
		return e.Angle
	}
	return e.Angle + "+" + e.Below
}

// Clip reports whether the entry is a play from its start: no slate, and nothing shown again.
func (e Entry) Clip() bool {
	return e.Segment.Kind == Film && (e.Shows == ShowsPlay || e.Shows == ShowsModel)
}

// Clips is how many times a play is shown, replays apart.
func (p *Plan) Clips() int {
	n := 0
	for _, e := range p.Entries {
		if e.Clip() {
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
	// ByResult says that how reps ended decided which are shown, so that no rate can be told.
	ByResult bool
	ByType   bool // kinds of play were asked for

	without func(*tags.Play) bool // the plays of Without; nil where there are none
}

// Without is c without one play and its reps. They are shown as no models either.
func (c Choice) Without(game string, play int) Choice {
	gone := func(p *tags.Play) bool { return p.Game.ID == game && p.Number == play }
	before := c.without
	c.without = func(p *tags.Play) bool { return gone(p) || before != nil && before(p) }
	c.Plays = slices.DeleteFunc(slices.Clone(c.Plays), gone)
	c.Reps = slices.DeleteFunc(slices.Clone(c.Reps), func(r *tags.Rep) bool { return gone(r.Play) })
	return c
}

// How long slates stand, how long a label must tell the outcome for it to be read, and how
// long the last picture is held where it cannot.
const (
	leastReveal = 3 * tags.Second / 4
	outcomeHold = tags.Second
	openingHold = 4 * tags.Second
	sectionHold = 2 * tags.Second
	closingHold = 6 * tags.Second
)

// leastPlay is how long after the snap a play lasts at least, where nothing tells its end.
const leastPlay = 2 * tags.Second

// ErrNothing says that a choice holds nothing that can be shown.
var ErrNothing = errors.New("nothing to show")

// Part is a section of a reel with what was chosen for it.
type Part struct {
	Section
	Choice
}

// Build plans the reel of one choice, as the recipe says to show it. Films holds every film
// file of the games named, known by its path. It fails with ErrNothing where no chosen
// play is on film.
func Build(season *tags.Season, choice Choice, r Recipe, films map[string]Source) (*Plan, error) {
	return BuildParts(season, []Part{{Section{Selection: r.Selection}, choice}}, choice.Asked, r, films)
}

// BuildParts plans the reel of several choices, each behind a slate of its own where it has
// a title. Asked is what was asked for, of all of them.
func BuildParts(season *tags.Season, parts []Part, asked string, r Recipe, films map[string]Source) (*Plan, error) {
	b := newBuilder(season, r, films)
	if strings.TrimSpace(season.Vocabulary.Caution) == "" {
		return nil, errors.New("the vocabulary has no caution, which stands where technique is taught")
	}
	about, err := r.Technique(season.Vocabulary)
	if err != nil {
		return nil, err
	}
	b.about = about
	named := r.Names.full() && r.Handout.Player == ""
	if !named { // what was asked for may name a player
		asked = ""
	}
	var all []take
	var entries []Entry
	byResult := false
	for _, part := range parts {
		if !named {
			part.Asked = ""
		}
		b.part = part
		if part.Slate != "" {
			entries = append(entries, b.told(part)...)
			continue
		}
		takes := b.takes(part.Choice)
		part = b.part // which knows now what decided
		byResult = byResult || part.ByResult
		b.few(part, len(takes))
		if len(takes) == 0 {
			if part.Title != "" {
				b.leaveOut(fmt.Sprintf("section %q", part.Title), "it has nothing to show")
			}
			continue
		}
		if part.Title != "" {
			entries = append(entries, b.slate(part.Title, b.sectionCard(part, b.shown(takes)), sectionHold).with(firstStill(takes)))
		}
		for _, t := range takes {
			entries = append(entries, t.entries...)
		}
		all = append(all, takes...)
	}
	if len(all) == 0 {
		return nil, b.nothing()
	}
	shown := b.shown(all)
	shown.byResult = byResult
	shown.byType = !slices.ContainsFunc(parts, func(p Part) bool { return !p.ByType })
	b.plan.ByType = shown.byType
	opening := b.opening(asked, shown)
	hold := openingHold
	if b.about != nil {
		hold = opening.read()
	}
	closing := b.slate("Numbers", b.closing(shown), closingHold)
	if len(closing.Segment.Card.Shares) == 0 { // which take the whole slate
		closing = closing.with(firstStill(all))
	}
	// Not the first play, which the first section's slate shows.
	entries = slices.Concat([]Entry{b.slate("Title", opening, hold).with(firstStill(all[len(all)/2:]))}, entries, []Entry{closing})
	b.lead(entries)
	b.plan.Entries = slices.Concat(b.pictures("Intro", r.Intro), b.shorten(entries), b.pictures("Outro", r.Outro))
	return b.plan, nil
}

// Ahead is the entries of film that reels of parts will most likely need: each rep by
// itself, and each play with all of its chosen reps. What it leaves out is said as in a
// plan. It fails with ErrNothing where no chosen play is on film.
func Ahead(season *tags.Season, parts []Part, r Recipe, films map[string]Source) (entries []Entry, leftOut []string, err error) {
	b := newBuilder(season, r, films)
	var takes []take
	for _, part := range parts {
		b.part = part
		takes = append(takes, b.takes(part.Choice)...)
	}
	leftOut = b.plan.LeftOut
	if len(takes) == 0 {
		return nil, nil, b.nothing()
	}
	for _, part := range parts {
		b.part = part
		for _, rep := range part.Reps {
			takes = append(takes, b.takes(Choice{Plays: []*tags.Play{rep.Play}, Reps: []*tags.Rep{rep}})...)
		}
	}
	for _, t := range takes {
		entries = append(entries, t.entries...)
	}
	return entries, leftOut, nil
}

type builder struct {
	season     *tags.Season
	about      *tags.Word // the technique that the reel is about; nil where of none
	asks       *query.Registry
	judgements map[*tags.Rep]judgement
	all        []*tags.Rep        // of the season, once they were asked for
	modelled   map[*tags.Rep]bool // those that were shown as models
	just       []*tags.Play       // the plays that were shown last
	stops      []why              // of the take that is being planned
	recipe     Recipe
	naming     Naming // who is named on what is being planned
	tab        string // the number on the tab of the label that is being planned
	part       Part   // that is being planned
	films      map[string]Source
	layout     Layout
	plan       *Plan
}

func newBuilder(season *tags.Season, r Recipe, films map[string]Source) *builder {
	all := make([]Source, 0, len(films))
	for _, f := range films {
		all = append(all, f)
	}
	house := HouseFor(all, r)
	return &builder{
		season: season, recipe: r, modelled: map[*tags.Rep]bool{}, naming: r.naming(season), films: films, layout: r.Shape.Layout(house),
		plan: &Plan{Title: r.Title, House: house, Delivery: Delivery{Mute: r.Mute, Handout: r.Handout.Folder}},
	}
}

func (b *builder) nothing() error {
	return fmt.Errorf("%w: %s", ErrNothing, strings.Join(append([]string{"no chosen play is on film"}, b.plan.LeftOut...), "; "))
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

// chapter names an entry by its reps, as far as they may be named: wk1-harbor-p014-91+99
// endzone.
func (b *builder) chapter(t take, angle string) string {
	name, join := t.play.Name(), "-"
	for _, r := range t.reps {
		if number := b.naming.number(r); number != "" {
			name += join + number
			join = "+"
		}
	}
	return name + " " + angle
}

// tell names the reps of a take in an entry.
func (b *builder) tell(e *Entry, t take) {
	for _, r := range t.reps {
		e.Reps = append(e.Reps, b.naming.Rep(r))
		e.Who = append(e.Who, b.who(r))
	}
}

// who is the rusher of a rep, as far as he may be named.
func (b *builder) who(r *tags.Rep) string { return b.naming.Who(r.Play.Game, r.Rusher) }

// with is e, a slate, with a still on it.
func (e Entry) with(still *Still) Entry {
	e.Segment.Still = still
	return e
}

// slate is a card as part of the reel.
func (b *builder) slate(chapter string, c Card, hold tags.Time) Entry {
	return Entry{Chapter: chapter, Segment: Segment{
		Kind:    Slate,
		House:   b.plan.House,
		Card:    &c,
		Hold:    b.plan.House.Rate.Ceil(hold),
		Look:    b.recipe.Look,
		Encoder: b.recipe.Encoder,
	}}
}
