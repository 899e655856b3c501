package page

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/pipeline/plan"
	"trenchcut/tags"
)

type playKey struct {
	game   string
	number int
}

// walk goes through a plan's entries in order.
type walk struct {
	page   *Page
	season *tags.Season
	house  plan.House
	plays  map[playKey]*tags.Play
	reps   map[string]*tags.Rep // by name
	who    map[*tags.Rep]string // as the plan names the rushers of those in shown
	at     tags.Frame           // of the reel, where the entry starts

	shown   []*tags.Rep // those that the numbers are of, each once
	clips   int
	pending []remark   // points that the clip under way has yet to say
	reveal  tags.Frame // when what became of its play is known
	top     bool       // its label is at the top
}

// remark is a point, and how a caption says it.
type remark struct{ point, text string }

// entry adds one entry; outer is a slate before or behind everything.
func (w *walk) entry(e plan.Entry, outer bool) {
	from := w.at
	w.at += e.Segment.Frames()
	film := e.Segment.Kind == plan.Film
	if e.Clip() || !film {
		w.end(from)
	}
	switch {
	case e.Clip():
		w.clip(e, from)
	case film:
		w.again(e, from)
	case !outer && e.Shows == plan.ShowsTold:
		w.page.Sections = append(w.page.Sections, Section{Title: plain(e.Chapter), Says: plains(e.Segment.Card.Lines)})
	case !outer && e.Shows == plan.ShowsPlay: // not a slate about a play
		w.page.Sections = append(w.page.Sections, Section{Title: plain(e.Chapter), Count: counted(e.Segment.Card)})
	}
}

func (w *walk) time(n tags.Frame) tags.Time { return w.house.Rate.Duration(n) }

// take is the one under way.
func (w *walk) take() *Take {
	takes := w.page.Sections[len(w.page.Sections)-1].Takes
	return &takes[len(takes)-1]
}

// clip adds a play on one angle, to the take before it where that is of the same reps.
func (w *walk) clip(e plan.Entry, from tags.Frame) {
	if len(w.page.Sections) == 0 {
		w.page.Sections = []Section{{}}
	}
	section := &w.page.Sections[len(w.page.Sections)-1]
	reps, who := w.repsOf(e)
	if n := len(section.Takes); n == 0 || !sameTake(section.Takes[n-1], e) {
		t := Take{Lead: plain(e.LeadOf()), Model: e.Shows == plan.ShowsModel, entry: e}
		for i, r := range reps {
			t.Reps = append(t.Reps, w.rep(r, t.Model, who[i]))
			if !t.Model && !slices.Contains(w.shown, r) {
				w.shown, w.who[r] = append(w.shown, r), who[i]
			}
		}
		section.Takes = append(section.Takes, t)
	}
	w.clips++
	t := w.take()
	half := (w.time(from+1) - w.time(from)) / 2
	t.Clips = append(t.Clips, Clip{
		Number: w.clips, Angle: plain(e.AngleWords()), Starts: Clock(w.time(from)),
		In: w.time(from).Decimal(), Out: w.time(w.at).Decimal(), Seek: (w.time(from) + half).Decimal(),
		Snap: w.time(from + w.since(e, 0, 0)).Decimal(),
	})
	line, says := t.Lead, Clock(w.time(from))
	if len(t.Reps) > 0 {
		line = t.Reps[0].Who
		if t.Reps[0].Result != "" {
			says = t.Reps[0].Result + separator + says
		}
	}
	if t.Model { // the contact sheet has it among those to fix
		line = plan.LikeThis + ": " + line
	}
	head := ""
	if len(section.Takes) == 1 && len(t.Clips) == 1 {
		head = section.Title
	}
	name := fmt.Sprintf("%d · play %d", w.clips, e.Play)
	switch {
	case e.Of != "": // numbers of plays repeat
		name += ", " + plain(e.Of)
	case e.Below == "": // two of them tell themselves, and are more than there is room for
		name += ", " + plain(e.Angle)
	}
	best := w.telling(e, reps)
	src := e.Segment.Source
	w.page.thumbs = append(w.page.thumbs, Thumb{
		Frame: from + best, Lead: name, Line: line, Says: says, Head: head, Film: src.Fingerprint,
		At: min(e.Segment.Span.In+src.Rate.FrameAt(w.time(best)), e.Segment.Span.Out-1),
	})

	w.pending, w.reveal = nil, w.at // where no label tells, once the clip is over
	for _, l := range e.Segment.Layers {
		if l.Label != nil { // the last of them tells what became of the play
			w.reveal = from + l.Span.In
			w.top = l.Label.Top
		}
	}
	if len(t.Clips) > 1 { // the angle before has told
		w.reveal = from
	}
	if t.Model {
		return
	}
	for _, r := range t.Reps {
		say := remark{r.Point, r.Point}
		if len(t.Reps) > 1 { // whose it is
			say.text = r.Who + ": " + r.Point
		}
		if r.Point != "" && !slices.Contains(w.pending, say) {
			w.pending = append(w.pending, say)
		}
	}
}

// sameTake reports whether e is t on one more angle.
func sameTake(t Take, e plan.Entry) bool {
	was := t.entry
	sameAngle := slices.ContainsFunc(t.Clips, func(c Clip) bool { return c.Angle == plain(e.AngleWords()) })
	return was.Game == e.Game && was.Play == e.Play && was.Shows == e.Shows && slices.Equal(was.Reps, e.Reps) && !sameAngle
}

// againNames is how the page calls what shows a play once more.
var againNames = map[plan.Shows]string{plan.ShowsReplay: "Slowed", plan.ShowsFreeze: "Stopped", plan.ShowsWhy: "What to do"}

// again adds to the clip under way what of it is shown again.
func (w *walk) again(e plan.Entry, from tags.Frame) {
	t := w.take()
	c := &t.Clips[len(t.Clips)-1]
	c.Out = w.time(w.at).Decimal()
	if name := againNames[e.Shows]; name != "" && (len(c.Again) == 0 || c.Again[len(c.Again)-1].Name != name) {
		half := (w.time(from+1) - w.time(from)) / 2
		c.Again = append(c.Again, Again{name, Clock(w.time(from)), (w.time(from) + half).Decimal()})
	}
	if e.Shows == plan.ShowsOutcome && len(t.Clips) == 1 { // or the angle before has told
		w.reveal = from
	}
	if e.Shows == plan.ShowsWhy {
		w.do(e, from)
		return
	}
	if e.Shows != plan.ShowsFreeze {
		return
	}
	for _, l := range e.Segment.Layers {
		if l.Label == nil {
			continue
		}
		if point := plain(l.Label.Lead); point != "" {
			w.caption(cue{in: w.time(from), out: w.time(w.at), text: point, settings: w.place(l.Label.Top)})
			w.pending = slices.DeleteFunc(w.pending, func(s remark) bool { return s.point == point })
		}
	}
}

// do adds to a rep of the take what to do about it, which the caption says too.
func (w *walk) do(e plan.Entry, from tags.Frame) {
	t := w.take()
	reps, _ := w.repsOf(e)
	says := plains(e.Says)
	for i := range t.Reps {
		r := &t.Reps[i]
		if len(reps) == 0 || r.of != reps[0] {
			continue
		}
		r.says = says
		r.Do = slices.DeleteFunc(slices.Clone(says), func(s string) bool { return s == r.Point })
	}
	top := true
	for _, l := range e.Segment.Layers {
		if l.Label != nil {
			top = l.Label.Top
		}
	}
	w.caption(cue{in: w.time(from), out: w.time(w.at), text: strings.Join(says, "\n"), settings: w.place(top)})
	w.pending = slices.DeleteFunc(w.pending, func(s remark) bool { return slices.Contains(says, s.point) })
}

// Where captions stand (WebVTT, 4.1.4): at the foot where the label is at the head, else at
// the head, beside the rush clock. In an upright picture the clock takes more of the width,
// and labels are always at the foot.
const (
	atFoot        = "line:85%"
	atHead        = "line:7% position:5% size:72% align:start"
	atHeadUpright = "line:5% position:5% size:60% align:start"
)

// place is where a caption stands: away from the label, which may be at the top.
func (w *walk) place(labelAtTop bool) string {
	switch {
	case labelAtTop:
		return atFoot
	case w.house.Width <= w.house.Height:
		return atHeadUpright
	default:
		return atHead
	}
}

// leastRead is how long a point stands at least, where the next leaves it the time.
const leastRead = 5 * tags.Second / 2

// end ends the clip under way, and says the points that it did not stop for: never before
// its outcome is told, which a point may give away. What cannot be read until the clip ends
// stays a little longer.
func (w *walk) end(at tags.Frame) {
	if len(w.pending) > 0 {
		in := w.time(w.reveal)
		var text []string
		for _, say := range w.pending {
			text = append(text, say.text)
		}
		w.caption(cue{in: in, out: max(w.time(at), in+leastRead), text: strings.Join(text, "\n"), settings: w.place(w.top)})
	}
	w.pending = nil
}

// caption adds a caption, which ends the one before it.
func (w *walk) caption(c cue) {
	if n := len(w.page.captions); n > 0 {
		if last := &w.page.captions[n-1]; last.in < c.in {
			last.out = min(last.out, c.in)
		}
	}
	w.page.captions = append(w.page.captions, c)
}

// repsOf is the reps of an entry, and their rushers as the plan names them.
func (w *walk) repsOf(e plan.Entry) (reps []*tags.Rep, who []string) {
	for i, name := range e.Reps {
		if r := w.reps[name]; r != nil {
			reps, who = append(reps, r), append(who, e.Who[i])
		}
	}
	return reps, who
}

// decisive is the marks that show best what a rep was, the likeliest first.
var decisive = []tags.Mark{tags.Beat, tags.Turn, tags.Contact}

// telling returns the frame of a clip that shows it best: at the first decisive mark of a rep, else
// a second after the snap, else in the middle.
func (w *walk) telling(e plan.Entry, reps []*tags.Rep) tags.Frame {
	middle := (e.Segment.Frames() - 1) / 2
	for _, mark := range decisive {
		for _, r := range reps {
			if at, known := r.Since(mark); known {
				return w.since(e, at, middle)
			}
		}
	}
	at := tags.Second
	if play := w.plays[playKey{e.Game, e.Play}]; play != nil {
		if contact, known := play.Since(tags.Contact); known {
			at = contact
		}
	}
	return w.since(e, at, middle)
}

// since returns the frame of a clip at a time after the snap, or the nearest that the clip has;
// otherwise is returned where the snap is not known.
func (w *walk) since(e plan.Entry, after tags.Time, otherwise tags.Frame) tags.Frame {
	play := w.plays[playKey{e.Game, e.Play}]
	if play == nil {
		return otherwise
	}
	v, err := play.View(e.Angle)
	if err != nil || !v.Snaps {
		return otherwise
	}
	n := w.house.Rate.FrameAt(v.Snap + after - e.Segment.Source.Clock().At(e.Segment.Span.In))
	return min(max(n, 0), e.Segment.Frames()-1)
}
