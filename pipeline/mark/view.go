package mark

import (
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"trenchcut/tags"
	"trenchcut/tags/stats"
)

// View is all that the page shows of a game at a desk.
type View struct {
	Version  int      `json:"version"`
	ReadOnly bool     `json:"readOnly"`
	Broken   string   `json:"broken,omitempty"` // why the file cannot be read now
	Others   int      `json:"others"`           // how often somebody else changed the file
	Undo     string   `json:"undo,omitempty"`
	Redo     string   `json:"redo,omitempty"`
	Plays    []Line   `json:"plays"`
	Reps     []Line   `json:"reps"` // of the play
	Title    string   `json:"title"`
	Begun    bool     `json:"begun"` // the play or rep is not in the file yet
	Wants    string   `json:"wants,omitempty"`
	Fields   []Shown  `json:"fields"`
	Offered  []Choice `json:"offered"`
	Asked    string   `json:"asked,omitempty"` // what is typed, as a question
	Kind     string   `json:"kind,omitempty"`  // how it is typed: text wants a box of its own
	Text     string   `json:"text,omitempty"`  // what that box holds at first
	Angles   []Angle  `json:"angles"`
	Todo     []Todo   `json:"todo"`
	Counts   []string `json:"counts"`
	Faults   []string `json:"faults,omitempty"` // those that are of no field shown
}

// Line is a play or rep in a list.
type Line struct {
	Play  int    `json:"play"`
	Rep   string `json:"rep,omitempty"`
	Shown string `json:"shown"`
	More  string `json:"more,omitempty"`
	Begun bool   `json:"begun,omitempty"`
	Guess bool   `json:"guess,omitempty"`
	Here  bool   `json:"here,omitempty"`
}

// Shown is a field as the form shows it.
type Shown struct {
	Field Field  `json:"field"`
	Name  string `json:"name"`
	Value string `json:"value,omitempty"`
	Open  bool   `json:"open,omitempty"`
	Fault string `json:"fault,omitempty"`
	Mark  bool   `json:"mark,omitempty"` // it is marked on the film
}

// Angle is a camera that the play can be watched on, with the frames of what is marked.
type Angle struct {
	Angle string     `json:"angle"`
	File  string     `json:"-"`
	Film  string     `json:"film,omitempty"` // its address, which whoever serves the page knows
	Step  tags.Frame `json:"step"`           // the frame by which the angles are in step: the snap, else in
	Marks []MarkedAt `json:"marks"`
	Spot  []float64  `json:"spot,omitempty"`
	// Proposed says that the spot is not marked: it waits to be taken.
	Proposed bool      `json:"proposed,omitempty"`
	Drawn    []DrawnAt `json:"drawn,omitempty"`
}

// MarkedAt is the frame of a mark on one angle.
type MarkedAt struct {
	Mark  string     `json:"mark"`
	Name  string     `json:"name"`
	Frame tags.Frame `json:"frame"`
	Guess bool       `json:"guess,omitempty"`
}

// View is what the page shows at a desk.
func (d *Document) View(desk Desk) View {
	f := &form{Desk: desk, doc: d, look: d.Look(), v: d.vocabulary}
	f.settle()
	l := f.look
	v := View{
		Version: l.Version, ReadOnly: d.journal == nil, Others: l.Others, Undo: l.Undo, Redo: l.Redo,
		Title:   gameTitle(l.Game),
		Offered: f.offered(), Todo: l.Todo(f.Pass), Counts: f.counts(), Plays: f.playLines(), Reps: f.repLines(), Angles: f.angles(),
	}
	if l.Broken != nil {
		v.Broken = l.Broken.Error()
	}
	if f.Ask == AskKeys {
		v.Offered = nil
	}
	if v.Asked, v.Kind = f.asked(); v.Kind == "text" {
		v.Text = f.written()
	}
	if begun, ok := l.state.draft(f.Play, f.rep()); ok {
		v.Begun = true
		v.Wants = "Kept; in the file with a battle or an outcome."
		if begun.Rep == "" {
			v.Wants = "Kept; in the file once in and out are both marked."
		}
	}
	v.Fields = f.shown(&v)
	for _, list := range [][]Line{v.Plays, v.Reps} {
		for i := range list {
			list[i].Here = list[i].Play == f.Play && (list[i].Rep == "" || list[i].Rep == f.Rep)
		}
	}
	return v
}

func gameTitle(g *tags.Game) string {
	parts := slices.DeleteFunc([]string{g.Us, g.Opponent}, func(s string) bool { return s == "" })
	title := strings.Join(parts, " against ")
	if title == "" {
		title = g.ID
	}
	if g.Date != "" {
		title += ", " + g.Date
	}
	if g.By != "" {
		title += ", by " + g.By
	}
	return title
}

// asked is the question that typing answers, and how it is answered.
func (f *form) asked() (question, how string) {
	switch {
	case f.Ask == AskWho:
		return "Whose rep? His number", "choice"
	case f.Ask == AskField:
		return "Which field?", "choice"
	case f.Ask == AskPlay:
		return "Number of the new play; Enter alone for " + strconv.Itoa(f.look.nextPlay()), "number"
	case f.Ask == AskClear:
		return "Clear what?", "key"
	case f.Ask == AskKeys, f.Open == "":
		return "", ""
	case f.Ask == AskSpot:
		return "Is this his spot? Enter takes it; arrows or a click put it right", "spot"
	case f.Open == spotField(f.at.Angle) || strings.HasPrefix(string(f.Open), "spot."):
		return "His spot: arrows move it, Enter leaves it", "spot"
	case f.Open == "draw":
		return f.drawAsked(), "spot"
	}
	names := map[kind]string{number: "number", clock: "number", free: "text"}
	how = names[f.kind(f.Open)]
	if how == "" {
		how = "choice"
	}
	return f.Open.Spoken(), how
}

func (f *form) playLines() []Line {
	var lines []Line
	for _, number := range f.look.plays() {
		line := Line{Play: number, Shown: "Play " + strconv.Itoa(number), Begun: f.look.play(number) == nil, Guess: f.look.guessed(number)}
		if p := f.look.play(number); p != nil {
			var said []string
			if p.Type != "" {
				said = append(said, f.v.Label("type", p.Type))
			}
			if p.Down != nil && p.Distance != nil {
				said = append(said, strconv.Itoa(*p.Down)+" and "+strconv.Itoa(*p.Distance))
			}
			line.More = strings.Join(said, ", ")
		}
		lines = append(lines, line)
	}
	return lines
}

func (f *form) repLines() []Line {
	var lines []Line
	for _, who := range f.look.reps(f.Play) {
		line := Line{Play: f.Play, Rep: who, Shown: f.look.who(who)}
		_, line.Begun = f.look.state.draft(f.Play, who)
		var said []string
		for _, field := range []Field{"align", "move", "blocker.set", "battle", "outcome"} {
			if v, _ := f.look.Value(f.Play, who, field); v != "" {
				said = append(said, f.spoken(field, v))
			}
		}
		line.More = strings.Join(said, ", ")
		lines = append(lines, line)
	}
	return lines
}

// shown is the fields of the form: those of the chain, those that are tagged and the open
// one. Faults that are of none of them are the view's.
func (f *form) shown(v *View) []Shown {
	var all []Shown
	if f.Play == 0 || f.Pass == RepsPass && f.Rep == "" {
		return nil
	}
	faults := f.faultsOf()
	fields := playFields(f.look.Game)
	if f.Pass == RepsPass {
		fields = repFields(f.look.Game)
	}
	chain := f.chain()
	for _, field := range fields {
		text, _ := f.look.Value(f.Play, f.rep(), field)
		if field == "rusher" || text == "" && field != f.Open && !slices.Contains(chain, field) && faults[field] == "" {
			continue
		}
		all = append(all, Shown{
			Field: field, Name: field.spokenOf(f.rep()), Value: f.spoken(field, text), Open: field == f.Open,
			Fault: faults[field], Mark: f.kind(field) == notTyped,
		})
		delete(faults, field)
	}
	// What is marked stands on the line of time as well, so it comes last.
	slices.SortStableFunc(all, func(a, b Shown) int {
		switch {
		case a.Mark == b.Mark:
			return 0
		case b.Mark:
			return -1
		default:
			return 1
		}
	})
	for _, said := range faults {
		v.Faults = append(v.Faults, said)
	}
	slices.Sort(v.Faults)
	return all
}

// spoken is the value of a field as a room says it.
func (f *form) spoken(field Field, text string) string {
	if text == "" {
		return ""
	}
	switch f.kind(field) {
	case notTyped:
		if field == "draw" {
			return spokenDrawings(text)
		}
		if (strings.HasPrefix(string(field), "marks.") || field == "in" || field == "out") && strings.Contains(text, ".") && strings.HasSuffix(text, "0s") {
			return strings.TrimSuffix(text, "0s") + "s"
		}
	case person:
		if p := f.look.Game.People[text]; p != nil {
			return p.Shown()
		}
	case aWord, words:
		items := strings.Split(text, listSign)
		for i, item := range items {
			name, path, _ := strings.Cut(item, "/")
			items[i] = f.v.Label(f.list(field), name)
			if path != "" {
				items[i] += " (" + path + ")"
			}
		}
		sign := ", "
		if field == "move" {
			sign = " > "
		}
		return strings.Join(items, sign)
	}
	return onOneLine(f.rep(), field, text)
}

// faultsOf is what the check says of the play or rep, by field; what is of none of its fields
// stands under the empty one.
func (f *form) faultsOf() map[Field]string {
	found := map[Field]string{}
	var n *yaml.Node
	if f.rep() == "" {
		_, n, _ = f.look.state.play(f.Play)
	} else {
		_, n, _ = f.look.state.rep(f.Play, f.Rep)
	}
	if n == nil {
		return found
	}
	places := map[[2]int]Field{}
	var walk func(n *yaml.Node, way []string)
	walk = func(n *yaml.Node, way []string) {
		places[[2]int{n.Line, n.Column}] = Field(strings.Join(way, "."))
		for i := 0; n.Kind == yaml.MappingNode && i+1 < len(n.Content); i += 2 {
			if key := n.Content[i]; len(way) < 3 && !(len(way) == 0 && key.Value == "reps") {
				below := append(slices.Clone(way), key.Value)
				places[[2]int{key.Line, key.Column}] = Field(strings.Join(below, "."))
				walk(n.Content[i+1], below)
			}
		}
		for i := 0; n.Kind == yaml.SequenceNode && i < len(n.Content); i++ {
			places[[2]int{n.Content[i].Line, n.Content[i].Column}] = Field(strings.Join(way, "."))
		}
	}
	walk(n, nil)
	for _, fault := range f.look.Faults {
		if field, ok := places[[2]int{fault.Pos.Line, fault.Pos.Column}]; ok {
			said := fault.What
			if fault.Hint != "" {
				said += "; " + fault.Hint
			}
			if was := found[field]; was != "" && was != said {
				said = was + "; " + said
			}
			found[field] = said
		}
	}
	return found
}

// angles is where the play can be watched.
func (f *form) angles() []Angle {
	var all []Angle
	shown := anglesOf(f.look.Game)
	if p := f.look.play(f.Play); p != nil {
		for _, a := range p.Angles() {
			if !slices.Contains(shown, a) {
				shown = append(shown, a)
			}
		}
	}
	guesses := tags.Guesses("")
	if p := f.look.play(f.Play); p != nil {
		guesses = p.Guesses()
	}
	for _, name := range shown {
		a := Angle{Angle: name, File: f.look.file(f.Play, name), Step: -1}
		if a.File == "" {
			continue
		}
		for _, mark := range append([]string{"in", "out"}, tags.MarkNames()...) {
			rep := f.Rep
			if rep != "" {
				if v, _ := f.look.Value(f.Play, rep, Field("marks."+mark)); v == "" {
					rep = "" // as the play has it
				}
			}
			at, ok := f.doc.Frame(f.look, f.Play, rep, mark, name)
			if !ok {
				continue
			}
			guess := mark == string(tags.Snap) && guesses.Snap(name)
			a.Marks = append(a.Marks, MarkedAt{mark, Field("marks." + mark).Spoken(), at, guess})
			if mark == string(tags.Snap) || mark == "in" && a.Step < 0 {
				a.Step = at
			}
		}
		for _, own := range []string{"in", "out"} {
			if at, ok := f.doc.ownFrame(f.look, f.Play, f.rep(), own, name); ok {
				a.Marks = append(a.Marks, MarkedAt{"own " + own, "own " + own, at, false})
			}
		}
		a.Drawn = f.drawnOn(a)
		if f.Rep != "" {
			if x, y, ok := strings.Cut(firstOf(f.look.Value(f.Play, f.Rep, spotField(name))), listSign); ok {
				left, _ := strconv.ParseFloat(x, 64)
				top, _ := strconv.ParseFloat(y, 64)
				a.Spot = []float64{left, top}
			} else if f.Ask == AskSpot && f.Open == spotField(name) {
				if at, err := f.look.Proposed(f.Play, f.Rep, name); err == nil {
					a.Spot, a.Proposed = []float64{at.X, at.Y}, true
				}
			}
		}
		all = append(all, a)
	}
	return all
}

func firstOf(text string, _ bool) string { return text }

// counts is what the tags say so far.
func (f *form) counts() []string {
	var reps []*tags.Rep
	plays, guessed := 0, 0
	for _, p := range f.look.Game.Plays {
		plays++
		if f.look.guessed(p.Number) {
			guessed++
		}
		reps = append(reps, p.Reps...)
	}
	said := []string{tags.Count(plays, "play") + ", " + tags.Count(len(reps), "rep")}
	if guessed > 0 {
		said[0] += ", " + tags.Count(guessed, "guessed snap")
	}
	scope := stats.ScopeOf(reps, false) // that of the numbers of the game
	if len(reps) > 0 {
		said = append(said, "All: "+scope.Summarise(reps, f.v).Sentence())
	}
	if f.Rep != "" {
		own := slices.DeleteFunc(slices.Clone(reps), func(r *tags.Rep) bool { return r.Rusher.ID != f.Rep })
		if len(own) > 0 {
			said = append(said, f.look.who(f.Rep)+": "+scope.Summarise(own, f.v).Sentence())
		}
	}
	return said
}
