package page

import (
	"cmp"
	"fmt"
	"html/template"
	"path/filepath"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
	"trenchcut/tags/report"
	"trenchcut/tags/stats"
)

// Week is the sheets of a week: one a subject, then the next opponent's line.
type Week struct {
	Said     string // the week's date and whom it was against
	Sheets   []WeekSheet
	Line     *report.Line
	NoLine   string // said where there is none
	Opponent string // of Line, as a heading has it
	Notes    []string
	Common   bool // drills on it are the program's own
	Caution  string
}

// WeekSheet is what one subject is to work on.
type WeekSheet struct {
	Name    string
	Reps    int
	Work    []WeekWork
	Rest    int
	Changed []string
	GetOff  report.Block
	Drilled bool // a drill is on it
}

// WeekWork is one thing to work on.
type WeekWork struct {
	What, Source string
	Who          []string
	Why          []string
	Shown        []WeekRep
	More         int // reps that are not in Shown
	Drill        string
}

// WeekRep is a rep in words, with where its film is; Film is empty where that is not known.
type WeekRep struct {
	Said, Line string
	Film       template.URL
}

// mostFilm is how many reps of one thing to work on a sheet links to.
const mostFilm = 6

// sourceWords is whose word a thing to work on is.
var sourceWords = [...]string{tags.FromCoach: "Coach", tags.FromRead: "What was there", tags.FromMove: "Move that did not win"}

// WeekOf is a week as sheets. folder is where the page will lie: links to film start there.
func WeekOf(w report.Week, v *tags.Vocabulary, folder string) *Week {
	p := &Week{Said: plain(w.WeekWords()), Line: w.Line, Notes: report.WeekNotes(), Caution: plain(v.Caution)}
	if w.Line != nil {
		p.Opponent = plain(w.Line.Opponent)
	} else {
		p.NoLine = report.NoLine
	}
	for _, s := range w.Subjects {
		sheet := WeekSheet{Name: plain(s.Name), Reps: s.Reps, Rest: s.Rest, Changed: s.Changed, GetOff: s.GetOff}
		for _, work := range s.Work {
			p.Common = p.Common || work.Common
			item := WeekWork{
				What: plain(work.What), Source: sourceWords[work.From], Why: work.Why, Drill: plain(work.Drill),
				More: max(len(work.Reps)-mostFilm, 0),
			}
			for _, who := range work.Who {
				item.Who = append(item.Who, plain(who))
			}
			for _, r := range work.Reps[:len(work.Reps)-item.More] {
				shown := WeekRep{Said: repWords(r, s.Room, len(w.Against) > 1), Line: what(r, v), Film: filmLink(r, folder)}
				item.Shown = append(item.Shown, shown)
			}
			sheet.Work, sheet.Drilled = append(sheet.Work, item), sheet.Drilled || item.Drill != ""
		}
		p.Sheets = append(p.Sheets, sheet)
	}
	return p
}

// How many lines a sheet of paper holds in its usual type, and in the next smaller one, and
// how many letters stand on a line of it.
const (
	fewWorked   = 40
	manyWorked  = 52
	workedWidth = 90
)

// Paper is how small print must be for one sheet of paper to hold the subject: "", long or
// longer.
func (s WeekSheet) Paper() string {
	n := len(s.Changed) + len(s.GetOff.Rows)
	for _, w := range s.Work {
		for _, text := range []string{w.What, strings.Join(slices.Concat(w.Why, w.Who), " "), w.Drill} {
			n += 1 + len([]rune(text))/workedWidth
		}
		for _, r := range w.Shown {
			n += 1 + len([]rune(r.Said+r.Line))/workedWidth
		}
	}
	return typeFor(n, fewWorked, manyWorked)
}

// repWords is a rep as a room names it: "#91, play 14, Q2 4:10 · 3rd & 7".
func repWords(r *tags.Rep, who, game bool) string {
	var words []string
	if who {
		words = append(words, r.Rusher.Number())
	}
	if game {
		words = append(words, cmp.Or(r.Play.Game.Opponent, r.Play.Game.ID))
	}
	words = append(words, fmt.Sprintf("play %d", r.Play.Number), plan.When(r.Play))
	return plain(strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), ", "))
}

// filmLink is the rep's film from where it is in to where it is out (W3C Media Fragments URI
// 1.0), as a link from folder; empty where the tags do not say when that is, and where the
// film lies elsewhere: a page that is handed on would not find it, and tells no path of the
// staff's.
func filmLink(r *tags.Rep, folder string) template.URL {
	angles := r.Play.Angles()
	if len(angles) == 0 {
		return ""
	}
	view, err := r.View(angles[0])
	if err != nil || view.File == "" {
		return "" // where its times are not known there is no link, which is no fault of the page's
	}
	path, err := filepath.Rel(folder, view.File)
	if err != nil || !filepath.IsLocal(path) {
		return ""
	}
	parts := strings.Split(filepath.ToSlash(path), "/")
	for i, part := range parts {
		parts[i] = escapePath(part)
	}
	span := fmt.Sprintf("#t=%.3f", view.In.Seconds())
	if !view.ToEnd {
		span += fmt.Sprintf(",%.3f", view.Out.Seconds())
	}
	return template.URL("./" + strings.Join(parts, "/") + span)
}

// cardRate is a rate on a card: "3 of 8" and, of reps enough, its share with the interval.
func cardRate(r stats.Rate) string {
	if !r.Enough() {
		return r.Words()
	}
	at, low, high := r.Per100()
	if r.Bounded() {
		least, most := r.Bounds100()
		return fmt.Sprintf("%s, %d to %d in 100 (%d-%d)", r.Words(), least, most, low, high)
	}
	return fmt.Sprintf("%s, %d in 100 (%d-%d)", r.Words(), at, low, high)
}
