package mark

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"trenchcut/tags"
)

// Key is a key and what it does while the film is watched.
type Key struct {
	Name  string `json:"name"` // what a file of keys calls it
	Key   string `json:"key"`  // as browsers name it
	Do    string `json:"do"`
	What  string `json:"what"` // what it does, in a few words
	Pass  Pass   `json:"pass,omitempty"`
	Group string `json:"group"`
}

// The groups that keys are listed in.
const (
	groupMarks = "Marks, at the frame on the screen"
	groupGo    = "Going on"
	groupForm  = "The form"
	groupBack  = "Undo"
	groupFilm  = "Film"
)

// digits stands for the ten digits, which begin a rusher's number.
const digits = "0-9"

// DefaultKeys is every key where a staff has none of its own, in the order in which they are
// listed. Those of the film are the page's.
var DefaultKeys = []Key{
	{"in", "i", "mark in", "in: the play begins; behind the last play, a new one begins", "", groupMarks},
	{"out", "o", "mark out", "out: the first frame not shown", "", groupMarks},
	{"snap", "s", "mark snap", "snap", "", groupMarks},
	{"get-off", "g", "mark getoff", "get-off: his first movement", RepsPass, groupMarks},
	{"contact", "c", "mark contact", "contact", RepsPass, groupMarks},
	{"turn", "t", "mark turn", "turn: his path changes", RepsPass, groupMarks},
	{"beat", "b", "mark beat", "beat: his hips past the blocker's", RepsPass, groupMarks},
	{"release", "r", "mark release", "release: the ball is out", "", groupMarks},
	{"finish", "f", "mark finish", "finish: the rush is over", "", groupMarks},
	{"own-in", "<", "mark own in", "his own in, where his rep begins later than the play", RepsPass, groupMarks},
	{"own-out", ">", "mark own out", "his own out", RepsPass, groupMarks},
	{"spot", "k", "spot", "his spot at the snap, moved by the arrows; or click on him", RepsPass, groupMarks},
	{"proposal", "p", "propose", "his spot as proposed from where he lined up: again takes it, arrows or a click put it right", RepsPass, groupMarks},
	{"drawing", "z", "drawing", "a drawing at a mark, moved by the arrows; or drag over the film", RepsPass, groupMarks},

	{"form", "Enter", "form", "open the form; a guessed snap is confirmed", "", groupForm},
	{"rusher", digits, "who", "a rusher's number: his rep", RepsPass, groupForm},
	{"line-up", "l", "carry", "everybody who rushed last, lined up as then", RepsPass, groupForm},
	{"field", ";", "field", "another field, by its first letters", "", groupForm},
	{"align", "a", "align", "where he lined up; what was carried on is replaced", RepsPass, groupForm},
	{"side", "d", "side", "the side he is on", RepsPass, groupForm},
	{"blocker", "q", "blocker", "who blocks him, by number", RepsPass, groupForm},
	{"hands", "h", "hands", "the blocker's hands", RepsPass, groupForm},
	{"help", "e", "help", "the blocker's help", RepsPass, groupForm},
	{"saw", "v", "saw", "what he could see in the blocker", RepsPass, groupForm},
	{"note", "w", "note", "note to the player", RepsPass, groupForm},
	{"point", "m", "point", "point to teach", RepsPass, groupForm},
	{"new-play", "+", "play", "a new play, by its number", PlaysPass, groupForm},

	{"next", "n", "next", "the next thing that is not marked", "", groupGo},
	{"play-on", "PageDown", "play on", "the next play", "", groupGo},
	{"play-back", "PageUp", "play back", "the play before", "", groupGo},
	{"rep-on", "]", "rep on", "the next rep of the play", RepsPass, groupGo},
	{"rep-back", "[", "rep back", "the rep before", RepsPass, groupGo},
	{"plays", "P", "plays", "first pass: plays", "", groupGo},
	{"reps", "R", "reps", "second pass: reps", "", groupGo},

	{"undo", "u", "undo", "undo the last change", "", groupBack},
	{"redo", "U", "redo", "redo it", "", groupBack},
	{"clear", "x", "clear", "clear: then the key of a mark, or this key again for the whole rep or play", "", groupBack},
	{"keys", "?", "keys", "this list", "", groupBack},

	{"run", " ", "film play", "play or stop", "", groupFilm},
	{"frame-on", "ArrowRight", "film on", "a frame on; with Shift ten", "", groupFilm},
	{"frame-back", "ArrowLeft", "film back", "a frame back; with Shift ten", "", groupFilm},
	{"slower", ",", "film slower", "slower", "", groupFilm},
	{"faster", ".", "film faster", "faster", "", groupFilm},
	{"to-in", "Home", "film in", "to where the play begins", "", groupFilm},
	{"to-snap", "End", "film snap", "to the snap", "", groupFilm},
	{"mark-on", "j", "film mark on", "to the next mark", "", groupFilm},
	{"mark-back", "J", "film mark back", "to the mark before", "", groupFilm},
	{"loop", "\\", "film loop", "loop the play, or not", "", groupFilm},
	{"angle", "/", "film angle", "the other angle large", "", groupFilm},
}

// Shown is how k's key is called.
func (k Key) Shown() string { return shownKey(k.Key) }

// Marks is what k marks, as a room says it.
func (k Key) Marks() string {
	name := strings.TrimPrefix(k.Do, "mark ")
	if strings.HasPrefix(name, "own ") {
		return name
	}
	return Field("marks." + name).Spoken()
}

// shownKey is how people call a key that a browser names.
func shownKey(key string) string {
	if name, ok := namedKeys[key]; ok {
		return name
	}
	switch lower := strings.ToLower(key); {
	case key == digits:
		return "0–9"
	case len([]rune(key)) == 1 && lower != key:
		return "Shift " + key
	case len([]rune(key)) == 1:
		return strings.ToUpper(key)
	}
	return key
}

// namedKeys is how people call the keys that have a name and no character.
var namedKeys = map[string]string{
	" ": "Space", "Enter": "Enter", "PageDown": "Page Down", "PageUp": "Page Up", "Home": "Home", "End": "End",
	"Insert": "Insert", "Delete": "Delete", "ArrowRight": "→", "ArrowLeft": "←", "ArrowUp": "↑", "ArrowDown": "↓",
	"F2": "F2", "F3": "F3", "F4": "F4", "F6": "F6", "F7": "F7", "F8": "F8", "F9": "F9", "F10": "F10",
}

// FieldKey is what a key does in an open field.
type FieldKey struct{ Shown, What string }

// FieldKeys is what keys do in an open field, for the list of keys. They are the same for
// everybody.
var FieldKeys = []FieldKey{
	{"letters", "the word that begins so; it is taken once nothing else is meant"},
	{"Enter", "take what is picked; with nothing typed, leave the field and go on"},
	{"↑ ↓", "pick another"},
	{">", "another move after the last"},
	{"/", "in a move: its path, where it is not the usual one"},
	{"=", "the same as the last time"},
	{"-", "clear the field"},
	{";", "another field, by its first letters"},
	{"Shift and a letter", "what the letter does while the film is watched: a mark, or another field"},
	{"Esc", "back to the film"},
}

// key carries out one key.
func (f *form) key(key string) error {
	rest := f.Rest
	f.Rest = ""
	if rest != "" && len(key) == 1 && strings.HasPrefix(rest, strings.ToLower(key)) {
		f.Rest = rest[1:]
		return nil
	}
	switch {
	case f.Ask == AskClear:
		return f.clearKey(key)
	case f.Ask == AskKeys:
		f.close()
		if key == "?" || key == "Escape" {
			return nil
		}
	case f.Ask == AskSpot:
		return f.proposedKey(key)
	case f.Open != "" || f.Ask != "":
		return f.typedKey(key)
	}
	return f.watchedKey(key)
}

// watchedKey is a key while the film is watched.
func (f *form) watchedKey(key string) error {
	if len(key) == 1 && key >= "0" && key <= "9" && f.Pass == RepsPass {
		f.Ask = AskWho
		return f.typedKey(key)
	}
	if k, ok := f.keyOf(key); ok {
		return f.command(k.Do)
	}
	return nil // such as a key that nothing listens to
}

// keyOf is what a key is for in the pass.
func (f *form) keyOf(key string) (Key, bool) {
	for _, k := range f.doc.keys {
		if k.Key == key && (k.Pass == "" || k.Pass == f.Pass) {
			return k, true
		}
	}
	return Key{}, false
}

// command carries out what a key stands for.
func (f *form) command(do string) error {
	if mark, ok := strings.CutPrefix(do, "mark "); ok {
		return f.mark(mark)
	}
	switch do {
	case "form":
		if f.Pass == PlaysPass && f.look.guessed(f.Play) {
			return f.confirm()
		}
		if err := f.open(f.chain()[0], true); err != nil {
			return err
		}
		f.next("")
		if f.Open == "" {
			f.Said = "all of the form is tagged: ; opens one field"
		}
		return nil
	case "who":
		f.close()
		f.Ask = AskWho
	case "carry":
		return f.carry()
	case "field":
		chain := f.Chain
		f.close()
		f.Ask, f.Chain = AskField, chain
	case "note", "point", "align", "side", "help", "saw":
		return f.open(Field(do), f.Chain)
	case "hands":
		return f.open("blocker.hands", f.Chain)
	case "blocker":
		return f.open("blocker.who", f.Chain)
	case "play":
		f.close()
		f.Ask, f.Typed = AskPlay, ""
	case "spot":
		return f.moveSpot("")
	case "propose":
		return f.propose()
	case "drawing":
		return f.openDrawing()
	case "clear":
		f.close()
		f.Ask = AskClear
	case "keys":
		f.close()
		f.Ask = AskKeys
	default:
		return f.travel(do)
	}
	return nil
}

// travel goes elsewhere in the game, or back and forth among what was done.
func (f *form) travel(do string) error {
	f.close()
	switch do {
	case "next":
		return f.nextTodo()
	case "play on", "play back":
		step := map[string]int{"play on": 1, "play back": -1}[do]
		numbers := f.look.plays()
		if i := slices.Index(numbers, f.Play) + step; i >= 0 && i < len(numbers) {
			f.Play, f.Rep = numbers[i], ""
			if reps := f.look.reps(f.Play); f.Pass == RepsPass && len(reps) > 0 {
				f.Rep = reps[0]
			}
			return nil
		}
		return errors.New("there is no play further on")
	case "rep on", "rep back":
		step := map[string]int{"rep on": 1, "rep back": -1}[do]
		reps := f.look.reps(f.Play)
		if i := slices.Index(reps, f.Rep) + step; i >= 0 && i < len(reps) {
			f.Rep = reps[i]
		}
	case "plays":
		f.Pass = PlaysPass
	case "reps":
		f.Pass = RepsPass
		if reps := f.look.reps(f.Play); f.Rep == "" && len(reps) > 0 {
			f.Rep = reps[0]
		}
	case "undo", "redo":
		way, said := f.doc.Undo, "undone: "
		if do == "redo" {
			way, said = f.doc.Redo, "redone: "
		}
		what, err := way()
		f.look = f.doc.Look()
		if err != nil {
			return err
		}
		if f.Said = said + what; what == "" {
			f.Said = "there is nothing to undo or redo"
		}
	}
	return nil
}

// clearKey is the key after the one that clears.
func (f *form) clearKey(key string) error {
	k, ok := f.keyOf(key)
	if !ok {
		f.close()
		return nil
	}
	return f.clear(k.Do)
}

// clear clears what an act would mark; of the act that clears, the whole rep or play.
func (f *form) clear(do string) error {
	f.close()
	mark, ok := strings.CutPrefix(do, "mark ")
	own, isOwn := strings.CutPrefix(mark, "own ")
	switch {
	case do == "clear":
		if f.Pass == RepsPass && f.Rep == "" {
			return errors.New("choose a rep first")
		}
		return f.do(Edit{Verb: Remove, Play: f.Play, Rep: f.rep()})
	case do == "spot":
		return f.set(spotField(f.at.Angle), "")
	case do == "drawing":
		return f.set("draw", "")
	case !ok:
		return nil
	case isOwn:
		return f.set(Field(own), "")
	case mark == "in" || mark == "out" || mark == string(tags.Snap):
		return f.clearOf("", f.look.timeField(f.Play, f.at.Angle, mark))
	default:
		return f.clearMark(Field("marks." + mark))
	}
}

// clearMark clears a mark where it stands: on the rep, or else on its play.
func (f *form) clearMark(field Field) error {
	rep := f.rep()
	own, _ := f.look.Value(f.Play, rep, field)
	ofPlay, _ := f.look.Value(f.Play, "", field)
	if rep == "" && f.Pass == RepsPass && ofPlay == "" {
		return errors.New("choose a rep first: type his number")
	}
	if own == "" && ofPlay != "" {
		rep = ""
	}
	return f.clearOf(rep, field)
}

// clearOf clears a field of the play, or of one of its reps.
func (f *form) clearOf(rep string, field Field) error {
	was, _ := f.look.Value(f.Play, rep, field)
	return f.do(Edit{Verb: Set, Play: f.Play, Rep: rep, Field: field, Was: was})
}

// spotStep is how far an arrow moves a spot, of the picture.
const spotStep = 0.01

// moveSpot moves the spot of the rusher on the angle shown, from the middle where it has
// none.
func (f *form) moveSpot(key string) error {
	if f.Rep == "" {
		return errors.New("choose a rep first: the spot is its rusher's")
	}
	field := spotField(f.at.Angle)
	x, y := 0.5, 0.5
	was, _ := f.look.Value(f.Play, f.Rep, field)
	if a, b, ok := strings.Cut(was, listSign); ok {
		x, _ = strconv.ParseFloat(a, 64)
		y, _ = strconv.ParseFloat(b, 64)
	}
	switch key {
	case "ArrowLeft":
		x -= spotStep
	case "ArrowRight":
		x += spotStep
	case "ArrowUp":
		y -= spotStep
	case "ArrowDown":
		y += spotStep
	}
	f.close()
	f.Open = field
	return f.do(spotted(f.look, f.Play, f.Rep, f.at.Angle, x, y)...)
}
