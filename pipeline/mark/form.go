package mark

import (
	"fmt"
	"slices"
	"strings"

	"trenchcut/tags"
)

// Pass is one of the two ways through a game, often by different people on different days.
type Pass string

// The passes.
const (
	PlaysPass Pass = "plays" // where each play is and what the situation was
	RepsPass  Pass = "reps"  // who rushed, what he did and what came of it
)

// Desk is where somebody is in the work. The page holds it and sends it with every [Act], so
// that a server that was killed takes nothing of it along.
type Desk struct {
	Pass Pass   `json:"pass"`
	Play int    `json:"play"`          // 0 is none
	Rep  string `json:"rep,omitempty"` // the rusher's id

	Open  Field  `json:"open,omitempty"`  // the field that is typed into; empty while the film is watched
	Ask   Ask    `json:"ask,omitempty"`   // what else is typed
	Typed string `json:"typed,omitempty"` // what was typed so far
	Pick  int    `json:"pick,omitempty"`  // which of what is offered is picked
	Chain bool   `json:"chain,omitempty"` // the next field opens by itself
	Rest  string `json:"rest,omitempty"`  // how the word that was just taken goes on, for who types it all

	Said  string `json:"said,omitempty"` // what the last act did
	Wrong bool   `json:"wrong,omitempty"`
}

// Ask is a question that is no field.
type Ask string

// The questions.
const (
	AskField Ask = "field" // which field to open
	AskPlay  Ask = "play"  // the number of a play to begin
	AskClear Ask = "clear" // which mark to clear, or what to remove
	AskWho   Ask = "who"   // the number of a rusher
	AskKeys  Ask = "keys"  // what the keys do
	AskSpot  Ask = "spot"  // whether the spot that is proposed is his
)

// Act is what somebody does: a key, or what a mouse does without one.
type Act struct {
	Do    string  `json:"do"`             // key, text, open, take, clear, go, clicked, drawn, or what a [Key] does
	Key   string  `json:"key,omitempty"`  // as browsers name it
	Text  string  `json:"text,omitempty"` // of text: all that is typed; of take: the value
	Field Field   `json:"field,omitempty"`
	Play  int     `json:"play,omitempty"`
	Rep   string  `json:"rep,omitempty"`
	Pass  Pass    `json:"pass,omitempty"`
	X     float64 `json:"x,omitempty"` // of clicked: where in the picture, 0 to 1; of drawn: where it begins
	Y     float64 `json:"y,omitempty"`
	ToX   float64 `json:"toX,omitempty"` // of drawn: where it ends
	ToY   float64 `json:"toY,omitempty"`
	At    At      `json:"at"` // what is on the screen
}

// form carries out one act.
type form struct {
	Desk
	doc  *Document
	look Look
	v    *tags.Vocabulary
	at   At
}

// Act carries out one act at a desk, and gives the desk after it. What cannot be done is said
// at the desk.
func (d *Document) Act(desk Desk, act Act) Desk {
	f := &form{Desk: desk, doc: d, look: d.Look(), v: d.vocabulary, at: act.At}
	f.Said, f.Wrong = "", false
	f.settle()
	if err := f.act(act); err != nil {
		f.Said, f.Wrong = err.Error(), true
		f.look = d.Look()
	}
	f.settle()
	return f.Desk
}

// settle moves the desk away from a play, rep or field that is not there any more.
func (f *form) settle() {
	if f.Pass != PlaysPass && f.Pass != RepsPass {
		f.Pass = PlaysPass
	}
	numbers := f.look.plays()
	if _, there := f.look.Value(f.Play, "", ""); !there && (f.Play != 0 || len(numbers) > 0) {
		if f.Play, f.Rep = 0, ""; len(numbers) > 0 {
			f.Play = numbers[0]
		}
		f.close()
	}
	if _, there := f.look.Value(f.Play, f.Rep, ""); f.Rep != "" && !there {
		f.Rep = ""
		f.close()
	}
}

// plays is the numbers of all plays, those that are only begun too, in order.
func (l Look) plays() []int {
	var numbers []int
	for _, p := range l.Game.Plays {
		numbers = append(numbers, p.Number)
	}
	for _, d := range l.Drafts {
		if d.Rep == "" {
			numbers = append(numbers, d.Play)
		}
	}
	slices.Sort(numbers)
	return slices.Compact(numbers)
}

// reps is the rushers of a play, those that are only begun behind the others.
func (l Look) reps(play int) []string {
	var all []string
	if p := l.play(play); p != nil {
		for _, r := range p.Reps {
			all = append(all, r.Rusher.ID)
		}
	}
	for _, d := range l.Drafts {
		if d.Play == play && d.Rep != "" && !slices.Contains(all, d.Rep) {
			all = append(all, d.Rep)
		}
	}
	return all
}

func (f *form) act(act Act) error {
	switch act.Do {
	case "key":
		return f.key(act.Key)
	case "text":
		return f.wrote(act.Text)
	case "open":
		return f.open(act.Field, false)
	case "take":
		if act.Field != "" && act.Field != f.Open {
			if err := f.open(act.Field, f.Chain); err != nil {
				return err
			}
		}
		return f.take(act.Text)
	case "go":
		return f.goTo(act)
	case "drawn":
		return f.drawn(act)
	case "clicked":
		if f.Rep == "" {
			return fmt.Errorf("choose a rep first: the spot is its rusher's")
		}
		if snap, ok := f.doc.Frame(f.look, f.Play, f.Rep, string(tags.Snap), f.at.Angle); ok && snap != f.at.Frame {
			return fmt.Errorf("his spot is where he is at the snap: End goes there")
		}
		f.close()
		return f.do(spotted(f.look, f.Play, f.Rep, f.at.Angle, act.X, act.Y)...)
	}
	for _, k := range DefaultKeys {
		switch {
		case k.Do != act.Do:
		case f.Ask == AskClear && k.Group == groupMarks:
			return f.clear(k.Do)
		default:
			return f.command(k.Do)
		}
	}
	return fmt.Errorf("there is nothing called %q to do", act.Do)
}

func (f *form) goTo(act Act) error {
	f.close()
	if act.Pass != "" {
		f.Pass = act.Pass
	}
	if act.Play != 0 {
		f.Play, f.Rep = act.Play, act.Rep
	} else if act.Rep != "" {
		f.Rep = act.Rep
	}
	return nil
}

func (f *form) close() { f.Open, f.Ask, f.Typed, f.Pick, f.Chain, f.Rest = "", "", "", 0, false, "" }

// do makes edits and says what was done.
func (f *form) do(edits ...Edit) error {
	if len(edits) == 0 {
		return nil
	}
	changed, err := f.doc.Do(edits...)
	if err != nil {
		return err
	}
	f.look = f.doc.Look()
	if f.Said = edits[0].String(); !changed {
		f.Said = edits[0].idle()
	}
	return nil
}

// rep is the rep that fields are of; empty in the pass of plays.
func (f *form) rep() string {
	if f.Pass == PlaysPass {
		return ""
	}
	return f.Rep
}

// set sets a field of what the pass is about.
func (f *form) set(field Field, value string) error {
	rep := f.rep()
	if playOnly(field) {
		rep = ""
	}
	if rep == "" && f.Pass == RepsPass && !playOnly(field) {
		return fmt.Errorf("choose a rep first: type his number")
	}
	was, _ := f.look.Value(f.Play, rep, field)
	edits := []Edit{{Verb: Set, Play: f.Play, Rep: rep, Field: field, Was: was, Value: value}}
	if carried := f.look.carriedBlocker(f.Play, rep); field == "side" && was != "" && was != value && carried != "" {
		edits = append(edits, Edit{Verb: Set, Play: f.Play, Rep: rep, Field: "blocker.who", Was: carried})
	}
	return f.do(edits...)
}

// carriedBlocker is the blocker of a rep that is begun, where he and the side are as they were carried
// on: on the other side he is not who blocks there, and is asked for anew. Else it is empty.
func (l Look) carriedBlocker(play int, rep string) string {
	if _, begun := l.state.draft(play, rep); !begun || rep == "" {
		return ""
	}
	who := ""
	for _, v := range l.lined(play, rep) {
		switch now, _ := l.Value(play, rep, v.Field); {
		case v.Field == "side" && now != v.Text:
			return ""
		case v.Field == "blocker.who" && now == v.Text:
			who = now
		}
	}
	return who
}

// playOnly reports whether a field is of plays in either pass.
func playOnly(field Field) bool {
	return strings.HasPrefix(string(field), "angles.") || field == "marks.snap" || strings.HasPrefix(string(field), "extra.")
}

// open opens a field to be typed into.
func (f *form) open(field Field, chain bool) error {
	if f.Play == 0 {
		return fmt.Errorf("begin a play first")
	}
	if f.Pass == RepsPass && f.Rep == "" {
		return fmt.Errorf("choose a rep first: type his number")
	}
	if err := knownField(f.look.Game, f.rep(), field); err != nil {
		return err
	}
	if f.kind(field) == notTyped {
		return fmt.Errorf("%s is marked on the film", field.Spoken())
	}
	f.close()
	f.Open, f.Chain = field, chain
	return nil
}

// chain is the fields that open one after another, by what kind of play it is.
func (f *form) chain() []Field {
	if f.Pass == PlaysPass {
		return []Field{"type", "down", "distance", "yard-line", "hash", "quarter", "clock", "series"}
	}
	if p := f.look.play(f.Play); p != nil && p.IsRun() {
		return []Field{"align", "side", "blocker.who", "blocker.block", "battle", "outcome"}
	}
	fields := []Field{"align", "side", "blocker.who", "move", "blocker.set"}
	if f.look.Game.Assume["help"] == "" {
		fields = append(fields, "help")
	}
	return append(fields, "battle", "outcome")
}

// next opens the next field of the chain that is not tagged; where there is none, the film is
// watched again.
func (f *form) next(after Field) {
	fields := f.chain()
	for _, field := range fields[slices.Index(fields, after)+1:] {
		if v, _ := f.look.Value(f.Play, f.rep(), field); v == "" {
			rest := f.Rest
			f.close()
			f.Open, f.Chain, f.Rest = field, true, rest
			return
		}
	}
	f.close()
	if after == "" {
		return
	}
	f.onward()
}

// onward goes to another rep of the play that is only begun, if there is one.
func (f *form) onward() {
	if f.Pass != RepsPass {
		return
	}
	for _, d := range f.look.Drafts {
		if d.Play == f.Play && d.Rep != "" && d.Rep != f.Rep {
			f.Rep = d.Rep
			return
		}
	}
}

// mark marks the frame on the screen.
func (f *form) mark(mark string) error {
	if f.Pass == PlaysPass && mark == "in" && f.beginsPlay() {
		if err := f.begin(f.look.nextPlay()); err != nil {
			return err
		}
	}
	if f.Play == 0 {
		return fmt.Errorf("begin a play first")
	}
	rep := f.rep()
	if own, ok := strings.CutPrefix(mark, "own "); ok {
		if rep == "" {
			return fmt.Errorf("choose a rep first: his own %s is of one rusher", own)
		}
		edits, err := f.doc.Owned(f.look, f.Play, rep, own, f.at)
		if err != nil {
			return err
		}
		return f.do(edits...)
	}
	if rep == "" && f.Pass == RepsPass && mark != "in" && mark != "out" && mark != string(tags.Snap) {
		return fmt.Errorf("choose a rep first: %s is of one rusher", Field("marks."+mark).Spoken())
	}
	if mark == string(tags.Release) { // which is one for the whole play
		rep = ""
	}
	edits, err := f.doc.Marked(f.look, f.Play, rep, mark, f.at)
	if err != nil {
		return err
	}
	return f.do(edits...)
}

// beginsPlay reports whether an in that is marked here begins a new play: there is no play, or the
// last one is open and the frame lies behind its out on this angle.
func (f *form) beginsPlay() bool {
	if f.Play == 0 {
		return true
	}
	out, ok := f.doc.Frame(f.look, f.Play, "", "out", f.at.Angle)
	return ok && f.at.Frame >= out && f.Play == f.look.plays()[len(f.look.plays())-1]
}

func (l Look) nextPlay() int {
	numbers := l.plays()
	if len(numbers) == 0 {
		return 1
	}
	return numbers[len(numbers)-1] + 1
}

func (f *form) begin(number int) error {
	if err := f.do(Edit{Verb: Add, Play: number}); err != nil {
		return err
	}
	f.close()
	f.Play, f.Rep = number, ""
	return nil
}

// rusher goes to the rep of a rusher, which it begins with the alignment of his last where
// there is none.
func (f *form) rusher(id string) error {
	if _, there := f.look.Value(f.Play, id, ""); !there {
		if err := f.do(Edit{Verb: Add, Play: f.Play, Rep: id, Values: f.look.lined(f.Play, id)}); err != nil {
			return err
		}
	}
	f.close()
	f.Rep = id
	f.next("")
	return nil
}

// linedFields is what is carried on from a rusher's last rep until it is changed.
var linedFields = []Field{"align", "side", "stance", "blocker.who"}

// lined is how a rusher lined up last before a play.
func (l Look) lined(play int, rusher string) []Value {
	var values []Value
	for _, number := range l.plays() {
		if number >= play {
			break
		}
		if _, there := l.Value(number, rusher, ""); !there {
			continue
		}
		values = nil
		for _, f := range linedFields {
			if v, _ := l.Value(number, rusher, f); v != "" {
				values = append(values, Value{f, v})
			}
		}
	}
	return values
}

// carry begins a rep for everybody who rushed on the last play before that has reps, as they
// lined up there.
func (f *form) carry() error {
	numbers := f.look.plays()
	slices.Reverse(numbers)
	for _, number := range numbers {
		who := f.look.reps(number)
		if number >= f.Play || len(who) == 0 {
			continue
		}
		var edits []Edit
		for _, id := range who {
			if _, there := f.look.Value(f.Play, id, ""); !there {
				edits = append(edits, Edit{Verb: Add, Play: f.Play, Rep: id, Values: f.look.lined(f.Play, id)})
			}
		}
		if err := f.do(edits...); err != nil {
			return err
		}
		f.Said = fmt.Sprintf("line-up of play %d", number)
		if f.Rep == "" && len(edits) > 0 {
			f.Rep = edits[0].Rep
		}
		return nil
	}
	return fmt.Errorf("no play before this has a rep to carry on")
}

// confirm says that the snap of a play is no guess, and goes to the next that is one.
func (f *form) confirm() error {
	edits := Confirmed(f.look, f.Play, "")
	if len(edits) == 0 {
		return fmt.Errorf("the snap of play %d is no guess", f.Play)
	}
	at := f.Play
	if err := f.do(edits...); err != nil {
		return err
	}
	f.Said = fmt.Sprintf("snap of play %d confirmed", at)
	for _, number := range f.look.plays() {
		if number > at && f.look.guessed(number) {
			f.Play = number
			return nil
		}
	}
	return nil
}

// guessed reports whether a snap of a play is a guess.
func (l Look) guessed(number int) bool { return len(Confirmed(l, number, "")) > 0 }

// Settled returns a desk without what the game does not have: a play, a rep or a field that is gone
// is left.
func (d *Document) Settled(desk Desk) Desk {
	f := &form{Desk: desk, doc: d, look: d.Look(), v: d.vocabulary}
	f.settle()
	return f.Desk
}
