package page

import (
	"cmp"
	_ "embed" // the page's parts
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

var (
	//go:embed practice.html
	practiceHTML string
	//go:embed practice.css
	practiceOwnStyle string
)

var (
	practiceTemplate = templateOf(practiceHTML)
	practiceStyle    = pageStyle + practiceOwnStyle
)

// Practice is one sheet to take to the field: what of a reel to watch, and what to work on.
// It tells what the reel's page tells, and no more.
type Practice struct {
	*Page
	Watch   []Watch
	Unnamed int // plays that are not in Watch, for want of room
	Work    []Work
	Unsaid  int  // points and moves that are not in Work, likewise
	Common  bool // drills in Work are the program's own
}

// Watch is a play of the reel to look at again.
type Watch struct {
	Clips []Clip
	Lead  string
	Model bool
	Reps  []Rep
	More  int // reps that are not in Reps
}

// Work is something to work on: what the reel says to do about reps that were not won, a
// point, or a move that lost with nothing said of it.
type Work struct {
	What  string
	Who   []string // whose it is, where the reel shows more than one player
	Do    []string // what to fix, and drills
	Reps  int
	Of    int // reps that are shown
	Clips []string

	rank int // what the coach wrote, what the reel says, moves that lost
}

// What one sheet holds: lines of plays to watch, reps of each, things to work on, clips and
// drills of each, and letters of a text and of a line.
const (
	mostLines   = 46
	mostShown   = 2
	mostWork    = 6
	mostClips   = 12
	mostDrills  = 2
	mostLetters = 120
	lineLetters = 110
)

// Practice is p as a sheet; v knows the drills.
func (p *Page) Practice(v *tags.Vocabulary) *Practice {
	s := &Practice{Page: p}
	counted, players := map[*tags.Rep]bool{}, map[string]bool{}
	for _, section := range p.Sections {
		for _, t := range section.Takes {
			s.Watch = append(s.Watch, t.watch())
			if t.Model {
				continue
			}
			for _, r := range t.Reps {
				if !counted[r.of] {
					counted[r.of], players[r.of.Rusher.Key()] = true, true
					s.work(r, strconv.Itoa(t.Clips[0].Number), v)
				}
			}
		}
	}
	s.chief()
	// Where there is not room for all, the coach's own words come first.
	slices.SortStableFunc(s.Work, func(a, b Work) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.Reps, a.Reps))
	})
	s.Unsaid = max(len(s.Work)-mostWork, 0)
	s.Work = s.Work[:len(s.Work)-s.Unsaid]
	for i := range s.Work {
		w := &s.Work[i]
		if len(players) == 1 {
			w.Who = nil
		}
		w.Of = len(counted)
		if n := len(w.Clips); n > mostClips {
			w.Clips = append(w.Clips[:mostClips:mostClips], "…")
		}
	}
	return s
}

func (t Take) watch() Watch {
	w := Watch{Clips: t.Clips, Lead: brief(t.Lead), Model: t.Model, More: max(len(t.Reps)-mostShown, 0)}
	for _, r := range t.Reps[:len(t.Reps)-w.More] {
		r.Who, r.Line, r.Point = brief(r.Who), brief(r.Line), brief(r.Point)
		w.Reps = append(w.Reps, r)
	}
	return w
}

// work counts what a rep gives to work on: what the reel says to do, or its point, or else
// the move it lost with last. One that the coach praised gives nothing.
func (s *Practice) work(r Rep, clip string, v *tags.Vocabulary) {
	var w Work
	moves := r.of.Moves
	switch {
	case r.of.Praised():
		return
	case len(r.says) > 0:
		w = Work{What: brief(r.says[0]), Do: r.says[1:], rank: 1}
		if says := r.says[0]; says == plain(r.of.Point) || says == plain(r.of.Note) {
			w.rank = 0
		}
	case r.Point != "":
		w = Work{What: brief(r.Point)}
	case lost(r.of) && len(moves) > 0:
		last, _ := v.List("move").Find(moves[len(moves)-1].Name)
		w.What, w.rank = brief(plain(v.Label("move", last.Name)))+", which lost", 2
		if last.Fix != "" {
			w.Do = []string{"Fix: " + last.Fix}
		}
	default:
		return
	}
	if len(r.says) == 0 {
		for _, m := range slices.Backward(moves) {
			word, _ := v.List("move").Find(m.Name)
			for _, drill := range word.Drills[:min(len(word.Drills), mostDrills)] {
				w.Do = append(w.Do, "Drill, "+v.Label("move", m.Name)+": "+drill)
			}
		}
	}
	for _, m := range moves {
		word, _ := v.List("move").Find(m.Name)
		s.Common = s.Common || word.Common && len(word.Drills) > 0 && len(w.Do) > 0
	}
	i := slices.IndexFunc(s.Work, func(have Work) bool { return strings.EqualFold(have.What, w.What) })
	if i < 0 {
		i = len(s.Work)
		s.Work = append(s.Work, Work{What: w.What, rank: w.rank})
	}
	have := &s.Work[i]
	have.Reps++
	if !slices.Contains(have.Who, r.Who) {
		have.Who = append(have.Who, r.Who)
	}
	if !slices.Contains(have.Clips, clip) {
		have.Clips = append(have.Clips, clip)
	}
	for _, do := range w.Do {
		if do = brief(plain(do)); len(have.Do) <= mostDrills && !slices.Contains(have.Do, do) {
			have.Do = append(have.Do, do)
		}
	}
}

// chief leaves as many plays in Watch as there is room for: first those with a point, a
// loss or a model, all in the order of the reel.
func (s *Practice) chief() {
	all, lines := len(s.Watch), 0
	for _, w := range s.Watch {
		lines += w.lines()
	}
	for _, most := range []bool{false, true} {
		for i := len(s.Watch) - 1; i >= 0 && lines > mostLines; i-- {
			if most || !s.Watch[i].telling() {
				lines -= s.Watch[i].lines()
				s.Watch = slices.Delete(s.Watch, i, i+1)
			}
		}
	}
	s.Unnamed = all - len(s.Watch)
}

// lines is about how many lines w takes in the smallest type.
func (w Watch) lines() int {
	n := 1 + min(w.More, 1)
	for _, r := range w.Reps {
		n += 1 + len([]rune(r.Who+r.Line+r.Result+r.Point))/lineLetters
	}
	return n
}

// telling reports whether w must be kept: it is a model, or has a point or a loss.
func (w Watch) telling() bool {
	return w.Model || slices.ContainsFunc(w.Reps, func(r Rep) bool { return r.Point != "" || lost(r.of) })
}

// lost reports whether the blocker won; a hold that he was called for is the rusher's win.
func lost(r *tags.Rep) bool {
	won, _ := r.Won()
	return r.Battle == "lost" && !won
}

// brief is as much of a text as a sheet has room for.
func brief(text string) string {
	letters := []rune(text)
	if len(letters) <= mostLetters {
		return text
	}
	return strings.TrimSpace(string(letters[:mostLetters-1])) + "…"
}

// Paper is how small print must be for one sheet to hold all: "", long or longer.
func (s *Practice) Paper() string {
	const few, many = 30, 44 // lines, as in the smallest type
	n := 0
	for _, w := range s.Watch {
		n += w.lines()
	}
	for _, w := range s.Work {
		n += 1 + len(w.Do)
	}
	return typeFor(n, few, many)
}

// HTML is the sheet, whole.
func (s *Practice) HTML() ([]byte, error) {
	return written(practiceTemplate, struct {
		*Practice
		head
	}{s, headOf(htmlMark, policy(practiceStyle), practiceStyle)})
}
