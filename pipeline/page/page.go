// Package page makes what lies beside a reel: a page that plays it, and its chapters and
// captions as WebVTT.
package page

import (
	"errors"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

// Page is what the page of a reel shows: what its plan shows, said in words, with the
// points to teach and without any grade. A note is on it where the plan has it: of what to do
// better, on a reel of one man.
type Page struct {
	Title    string
	Asked    []string // what was asked for, and how much there is of it
	Games    []string
	Video    string // the reel's file name; it lies beside the page
	Wide     int    // pixels of the picture
	Tall     int
	Length   string
	Sections []Section
	Filters  []Filter
	Said     []string // of the numbers, as the closing slate says it
	Tables   []Table
	Counted  string // who counts in the rates
	Caution  string
	Clips    int
	Rate     string   // pictures of the reel a second
	Season   string   // of the one player whom the reel is of: his numbers in all games that were read
	Of       string   // who that is, and how many games: "#91 Teo Marlow, 2 games"
	Next     []string // what he works on next

	Poster template.URL // stands where the film is before it plays; empty is nothing

	chapters []cue
	captions []cue
	thumbs   []Thumb
	pictures map[int]template.URL // of clips, by number
}

// Section is a part of the reel, behind a slate of its own where it has a title.
type Section struct {
	Title string
	Count string   // what its slate counts first: won 6 of 11
	Says  []string // of a slate that stands for itself, with no plays behind it
	Takes []Take
}

// Take is one play as it is shown: a clip for each angle.
type Take struct {
	Lead  string // 3rd & 8 · Play 14 · Q1 11:32
	Model bool   // it stands beside the play before it, to show how it is won
	Reps  []Rep
	Clips []Clip

	entry plan.Entry
}

// Clip is one play on one angle, with what of it is shown again.
type Clip struct {
	Number int
	Angle  string
	Starts string // in the reel, as a player shows it
	In     string // likewise in seconds, and where it ends
	Out    string
	Seek   string // amid its first frame, so that no player rounds to the one before
	Snap   string // when the ball is snapped, in the reel; In where that is not known
	Again  []Again
}

// Again is a part of a clip that shows its play once more.
type Again struct {
	Name   string
	Starts string
	Seek   string
}

// Rep is a rep on one line, and which options of each filter it meets.
type Rep struct {
	Who    string
	Line   string
	Result string
	Point  string
	Do     []string // what to do about it, the point left out
	says   []string // the same, with the point
	meets  map[string][]int
	of     *tags.Rep
}

// Meets is the numbers of the options of a filter that r meets.
func (r Rep) Meets(key string) string {
	return strings.Trim(fmt.Sprint(r.meets[key]), "[]")
}

// Filter is a fact that the clips are chosen by on the page.
type Filter struct {
	Key     string
	Label   string
	Options []string
}

// Thumb is which frame of the reel shows a clip best.
type Thumb struct {
	Frame tags.Frame
	Lead  string // which clip
	Line  string // who is in it
	Says  string // what became of it, and when it starts in the reel
	Head  string // the section that it begins; empty where it begins none
	// Film is the fingerprint of the film that the clip shows and At the frame of it, with no
	// label over it.
	Film string
	At   tags.Frame
}

// How many plays and reps a sheet of paper holds in its usual type, and in the next
// smaller one.
const (
	fewLines  = 30
	manyLines = 70
)

// Paper is how small print must be for one sheet to hold the page: "", long or longer.
func (p *Page) Paper() string {
	n := 0
	for _, s := range p.Sections {
		for _, t := range s.Takes {
			n += 1 + len(t.Reps)
		}
	}
	return typeFor(n, fewLines, manyLines)
}

// typeFor is how small n lines must be printed: few go in the usual type, many in the next
// smaller one.
func typeFor(n, few, many int) string {
	switch {
	case n <= few:
		return ""
	case n <= many:
		return "long"
	default:
		return "longer"
	}
}

// Thumbs is one frame for each clip: where its first rep was decided (beat, turn or contact), or else a
// second after the snap, or else amid the clip.
func (p *Page) Thumbs() []Thumb { return p.thumbs }

// New is the page of the reel of p, which lies beside it as the file video. Season holds
// what p shows.
func New(p *plan.Plan, season *tags.Season, video string) (*Page, error) {
	first, last := p.Slates()
	if first >= last || p.Entries[first].Segment.Card == nil || p.Entries[last].Segment.Card == nil {
		return nil, errors.New("the page of a reel: its plan has no opening and closing slate")
	}
	opening := p.Entries[first].Segment.Card
	page := &Page{
		Title: plain(p.Title), Asked: plains(opening.Lines), Games: plains(opening.Small), Video: video,
		Rate: strconv.FormatFloat(p.House.Rate.FPS(), 'f', 6, 64), pictures: map[int]template.URL{},
		Wide: p.House.Width, Tall: p.House.Height, Length: Clock(p.House.Rate.Duration(p.Frames())),
	}
	w := &walk{page: page, season: season, house: p.House, who: map[*tags.Rep]string{}, reps: map[string]*tags.Rep{}, plays: map[playKey]*tags.Play{}}
	for _, play := range season.Plays() {
		w.plays[playKey{play.Game.ID, play.Number}] = play
		for _, r := range play.Reps {
			w.reps[r.Name()], w.reps[plan.Unnamed(r)] = r, r
		}
	}
	for i, e := range p.Entries {
		w.entry(e, i <= first || i >= last)
	}
	w.end(w.at)
	for i := range page.captions {
		page.captions[i].out = min(page.captions[i].out, w.time(w.at))
	}
	for _, c := range p.Chapters() {
		page.chapters = append(page.chapters, cue{in: w.time(c.Span.In), out: w.time(c.Span.Out), id: c.Name, text: c.Title})
	}
	page.Clips = w.clips
	page.Filters = w.filters()
	w.numbers(p)
	w.player()
	return page, nil
}
