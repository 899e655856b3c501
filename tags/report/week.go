package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// Week is what the film of the last date with games says to work on.
type Week struct {
	Date, Before string   // 2026-09-18; Before, the date of games before it, is empty where there is none
	Against      []string // whom the games of Date were against
	Subjects     []Subject
	Line         *Line // the next opponent's; nil where no film of it is tagged
}

// Subject is whom a page of the week is for: the room, or a man.
type Subject struct {
	Name    string
	Room    bool
	Reps    int    // of the week
	Work    []Work // three at most, the coach's words first
	Rest    int    // things that are not in Work
	Changed []string
	GetOff  Block // week by week; no rows where none is marked
}

// Work is one thing to work on.
type Work struct {
	What  string
	From  tags.LessonFrom
	Who   []string // whose it is, on the room's page
	Why   []string
	Reps  []*tags.Rep // by which it is shown, in film order
	Drill string
	// Common says that Drill is the program's own, which is common practice, and no staff's.
	Common bool
}

// mostWork is how many things to work on a subject has: what a week of practice has room for.
const mostWork = 3

// lesson is a rep with what it teaches.
type lesson struct {
	tags.Lesson
	rep  *tags.Rep
	seen stats.Seen
}

// scouted reports whether a rep is of film of somebody else.
func scouted(r *tags.Rep) bool { return r.Play.Game.Scouted() }

// practised reports whether a rep is of practice.
func practised(r *tags.Rep) bool { return r.Play.Game.Practised() }

// WeekOf is the week of a request. It is empty, without a date, where none of the reps is of
// a game with a date. Practice makes a week only where there is no game.
func WeekOf(r *Request) Week {
	var w Week
	own := slices.DeleteFunc(slices.Clone(r.Reps), func(rep *tags.Rep) bool { return scouted(rep) || rep.Apart() })
	if slices.ContainsFunc(own, func(rep *tags.Rep) bool { return rep.Play.Game.Date != "" && !practised(rep) }) {
		own = slices.DeleteFunc(own, practised)
	}
	for _, rep := range own {
		switch date := rep.Play.Game.Date; {
		case date > w.Date:
			w.Before, w.Date = w.Date, date
		case date < w.Date && date > w.Before:
			w.Before = date
		}
	}
	w.Line = lineOf(r)
	if w.Date == "" {
		return w
	}
	for _, rep := range own {
		if name := rep.Play.Game.Opponent; rep.Play.Game.Date == w.Date && name != "" && !slices.Contains(w.Against, name) {
			w.Against = append(w.Against, name)
		}
	}
	seen := seenOn(r, w.Date)
	men := stats.Split(own, stats.Rusher)
	if len(men) > 1 {
		w.Subjects = append(w.Subjects, w.subject(r, stats.Set{Name: "The room", Reps: own}, seen, true))
	}
	for _, m := range men {
		if s := w.subject(r, m, seen, false); s.Reps > 0 {
			w.Subjects = append(w.Subjects, s)
		}
	}
	return w
}

// seenOn returns the reads of our own reps of a date. A read that cost wins over the film of all
// dates counts as missed on no rep.
func seenOn(r *Request, date string) map[*tags.Rep]stats.Seen {
	all := slices.DeleteFunc(slices.Clone(r.seenReads()), func(s stats.Seen) bool { return scouted(s.Rep) })
	costs := map[string]bool{}
	for _, read := range stats.Reads(all, r.Season.Vocabulary.ReadNames()) {
		costs[read.Name] = read.Verdict() == stats.Costing
	}
	seen := map[*tags.Rep]stats.Seen{}
	for _, s := range all {
		if s.Rep.Play.Game.Date != date {
			continue
		}
		s.Missed = slices.DeleteFunc(slices.Clone(s.Missed), func(name string) bool { return costs[name] })
		seen[s.Rep] = s
	}
	return seen
}

func on(reps []*tags.Rep, date string) []*tags.Rep {
	return slices.DeleteFunc(slices.Clone(reps), func(r *tags.Rep) bool { return r.Play.Game.Date != date })
}

func (w Week) subject(r *Request, set stats.Set, seen map[*tags.Rep]stats.Seen, room bool) Subject {
	now, before := on(set.Reps, w.Date), []*tags.Rep(nil)
	if w.Before != "" {
		before = on(set.Reps, w.Before)
	}
	s := Subject{Name: set.Name, Room: room, Reps: len(now)}
	var lessons []lesson
	for _, rep := range now {
		// A missed read is asked of the reps that reads are asked of; the coach's word of all.
		at := seen[rep]
		var missed []tags.Read
		for _, rd := range r.Season.Vocabulary.Reads {
			if slices.Contains(at.Missed, rd.Name) {
				missed = append(missed, rd)
			}
		}
		// A rep that earned points paid, though the battle was not won: it stopped the run, or
		// batted the ball.
		points, _ := rep.Production()
		if l, ok := rep.Lesson(missed, !room); ok && points <= 0 {
			lessons = append(lessons, lesson{l, rep, at})
		}
	}
	s.Work = workOf(lessons, now, seen, room, r.Season.Vocabulary)
	s.Rest = max(len(s.Work)-mostWork, 0)
	s.Work = s.Work[:len(s.Work)-s.Rest]
	s.Changed = w.changed(r, now, before)
	if !r.Query.AsksFor(getoffTime) { // it would only say what was chosen
		s.GetOff = weeksGetOff(r, set.Reps)
	}
	return s
}

// key is what makes two lessons one thing to work on.
func (l lesson) key() string {
	switch l.From {
	case tags.FromRead:
		return "read " + l.Read
	case tags.FromMove:
		return "move " + l.Move.Name
	default:
		return "said " + strings.ToLower(strings.TrimSpace(l.Says[0]))
	}
}

// workOf is lessons as things to work on: the coach's words first, then what was there and
// not taken, then moves that did not win; of each kind the one most reps show first.
func workOf(lessons []lesson, week []*tags.Rep, seen map[*tags.Rep]stats.Seen, room bool, v *tags.Vocabulary) []Work {
	at := map[string]int{}
	var list []Work
	var firsts []lesson
	for _, l := range lessons {
		i, ok := at[l.key()]
		if !ok {
			i = len(list)
			at[l.key()] = i
			list, firsts = append(list, Work{What: l.Says[0], From: l.From}), append(firsts, l)
		}
		list[i].Reps = append(list[i].Reps, l.rep)
		if name := l.rep.Rusher.Called(); room && !slices.Contains(list[i].Who, name) {
			list[i].Who = append(list[i].Who, name)
		}
		if l.Move.Name != "" && list[i].Drill == "" && len(l.Move.Drills) > 0 {
			list[i].Drill, list[i].Common = v.Label("move", l.Move.Name)+": "+l.Move.Drills[0], l.Move.Common
		}
	}
	for i := range list {
		list[i].Why = why(firsts[i], len(list[i].Reps), week, seen, v)
	}
	slices.SortStableFunc(list, func(a, b Work) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(len(b.Reps), len(a.Reps)))
	})
	return list
}

// why is the evidence for a thing to work on, of the week's reps.
func why(l lesson, shown int, week []*tags.Rep, seen map[*tags.Rep]stats.Seen, v *tags.Vocabulary) []string {
	switch l.From {
	case tags.FromRead:
		var of []stats.Seen
		for _, rep := range week {
			if s, ok := seen[rep]; ok {
				of = append(of, s)
			}
		}
		rd := stats.Reads(of, []string{l.Read})[0]
		notWon := rd.WonOther.N - rd.WonOther.K // the coach's word on some of them holds instead
		said := []string{fmt.Sprintf("Not taken and not won on %d of %s it was there for.", notWon, tags.Count(rd.There, "rep"))}
		if rd.WonTaken.N > 0 {
			said = append(said, fmt.Sprintf("Where it was taken: won %d of %d.", rd.WonTaken.K, rd.WonTaken.N))
		}
		return said
	case tags.FromMove:
		var won stats.Rate
		for _, rep := range week {
			if n := len(rep.Moves); n > 0 && rep.Moves[n-1].Name == l.Move.Name {
				if yes, known := rep.Won(); known {
					won.N++
					if yes {
						won.K++
					}
				}
			}
		}
		return []string{fmt.Sprintf("%s, as the last move: won %d of %d.", tags.Capital(v.Label("move", l.Move.Name)), won.K, won.N)}
	default:
		said := []string{fmt.Sprintf("On %s not won.", tags.Count(shown, "rep"))}
		if l.Unsure {
			said = append(said, "It may be praise: the tags do not say.")
		}
		return said
	}
}

// changed is what is other than on the date before, each as counts of both.
func (w Week) changed(r *Request, now, before []*tags.Rep) []string {
	if w.Before == "" {
		return nil
	}
	if len(before) == 0 {
		return []string{"No rep on " + w.Before + "."}
	}
	scope := r.scope()
	a, b := stats.By(scope.Counted(now), everyone), stats.By(scope.Counted(before), everyone)
	if len(a) == 0 || len(b) == 0 {
		return []string{"On one of the two dates no rush counts in the rates."}
	}
	var said []string
	for _, rate := range a[0].Told() {
		if old := b[0].Named(rate.Name); rate.N > 0 && old.N > 0 {
			said = append(said, fmt.Sprintf("%s: %s; on %s it was %s.", tags.Capital(rate.Name), rate.Words(), w.Before, old.Words()))
		}
	}
	return said
}

func everyone(*tags.Rep) []string { return []string{stats.All} }

// weeksGetOff is the get-off of each date, in order.
func weeksGetOff(r *Request, reps []*tags.Rep) Block {
	offs := stats.GetOffWeeks(reps, r.frameRate())
	b := getoffGroupColumns.block(offs, pick{key: "group", title: "get-off, ms"}, pick{key: "marked"}, pick{key: "mean"})
	b.Said = saidOfSame(offs)
	return b
}

// workRow is one thing to work on of one subject.
type workRow struct {
	subject string
	room    bool
	rank    int
	Work
}

var sources = [...]string{tags.FromCoach: "coach", tags.FromRead: "read", tags.FromMove: "move"}

var workColumns = columns[workRow]{
	{Column{Key: "subject", Doc: "Whose it is: the room, or a man."}, func(w workRow) any { return w.subject }},
	{Column{Key: "rank", Kind: Number, Unit: "place", Doc: "Its place among his."}, func(w workRow) any { return w.rank }},
	{Column{Key: "what", Title: "work on", Doc: "What to do.", Least: 18, Fold: true}, func(w workRow) any { return w.What }},
	{Column{Key: "from", Doc: "Whose word it is: the coach's, a read that was missed, or a move that did not win."}, func(w workRow) any { return sources[w.From] }},
	{Column{Key: "why", Doc: "The evidence.", Least: 16, Fold: true}, func(w workRow) any { return strings.Join(w.Why, " ") }},
	{Column{Key: "reps", Doc: "The reps that show it."}, func(w workRow) any { return listed(w.Reps, (*tags.Rep).Name) }},
	{Column{Key: "plays", Title: "shown by", textOnly: true, Least: 12, Fold: true}, func(w workRow) any { return listed(w.Reps[:min(len(w.Reps), mostNamed)], w.play) + w.more() }},
	{Column{Key: "drill", Doc: "How it is practised.", Least: 16, Fold: true}, func(w workRow) any { return w.Drill }},
}

// mostNamed is how many reps text names of one thing to work on.
const mostNamed = 4

func listed(reps []*tags.Rep, name func(*tags.Rep) string) string {
	var names []string
	for _, r := range reps {
		names = append(names, name(r))
	}
	return strings.Join(names, ", ")
}

// play is a rep as a room names it: its play and, on the room's page, his number.
func (w workRow) play(r *tags.Rep) string {
	name := fmt.Sprintf("play %d", r.Play.Number)
	if w.room {
		name += " " + r.Rusher.Number()
	}
	return name
}

// more says how many reps are not named.
func (w workRow) more() string {
	if n := len(w.Reps) - mostNamed; n > 0 {
		return fmt.Sprintf(" and %d more", n)
	}
	return ""
}

// WeekWords is the week's date and whom it was against.
func (w Week) WeekWords() string {
	if len(w.Against) == 0 {
		return "The week of " + w.Date
	}
	return fmt.Sprintf("The week of %s, against %s", w.Date, tags.Both(w.Against))
}

// WeekNotes is what is said of a week, whoever it is of.
func WeekNotes() []string {
	return []string{
		"The coach's words come first; a read or a move speaks only of reps of which he has said nothing. Reps that were won, or earned points, and words tagged as praise, are not here.",
		"One week against another is few reps: what changed is told, not judged.",
	}
}

func weekTable(r *Request) (Table, error) {
	w := WeekOf(r)
	t := Table{
		Title: "what to work on this week, and what shows it",
		Who:   "reps of the last date with games, offside apart; what changed goes by the rates' reps: " + r.scope().CountedWords(),
		Notes: WeekNotes(),
	}
	var all []workRow
	if w.Date == "" {
		t.Lead = append(t.Lead, noneCount)
	} else {
		t.Lead = append(t.Lead, w.WeekWords()+".")
	}
	for _, s := range w.Subjects {
		var rows []workRow
		for i, work := range s.Work {
			rows = append(rows, workRow{s.Name, s.Room, i + 1, work})
		}
		all = append(all, rows...)
		b := workColumns.block(rows, pick{key: "what"}, pick{key: "why"}, pick{key: "plays"}, pick{key: "drill"})
		head := s.Name + ": " + tags.Count(s.Reps, "rep")
		b.Rows = append([][]string{{head}}, b.Rows...)
		if s.Rest > 0 {
			b.Said = append(b.Said, "Behind these: "+tags.Count(s.Rest, "more thing")+" to work on.")
		}
		b.Said = append(b.Said, s.Changed...)
		t.Blocks = append(t.Blocks, b, s.GetOff)
	}
	t.Grids = []Grid{workColumns.grid("", all)}
	if w.Line == nil {
		t.Notes = append(t.Notes, NoLine)
	} else {
		t.Blocks = append(t.Blocks, w.Line.Blocks()...)
		t.Grids = append(t.Grids, lineColumns.grid("line", w.Line.rows()))
	}
	return t, nil
}
