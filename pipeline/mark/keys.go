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
	Key   string `json:"key"` // as browsers name it
	Do    string `json:"do"`
	Shown string `json:"shown"` // how the key is called
	What  string `json:"what"`  // what it does, in a few words
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

// Keys is every key, in the order in which they are listed. Those of the film are the page's.
var Keys = []Key{
	{"i", "mark in", "I", "in: the play begins; behind the last play, a new one begins", "", groupMarks},
	{"o", "mark out", "O", "out: the first frame not shown", "", groupMarks},
	{"s", "mark snap", "S", "snap", "", groupMarks},
	{"g", "mark getoff", "G", "get-off: his first movement", RepsPass, groupMarks},
	{"c", "mark contact", "C", "contact", RepsPass, groupMarks},
	{"t", "mark turn", "T", "turn: his path changes", RepsPass, groupMarks},
	{"b", "mark beat", "B", "beat: his hips past the blocker's", RepsPass, groupMarks},
	{"r", "mark release", "R", "release: the ball is out", "", groupMarks},
	{"f", "mark finish", "F", "finish: the rush is over", "", groupMarks},
	{"k", "spot", "K", "his spot at the snap, moved by the arrows; or click on him", RepsPass, groupMarks},

	{"Enter", "form", "Enter", "open the form; a guessed snap is confirmed", "", groupForm},
	{"0-9", "who", "0–9", "a rusher's number: his rep", RepsPass, groupForm},
	{"l", "carry", "L", "everybody who rushed last, lined up as then", RepsPass, groupForm},
	{";", "field", ";", "another field, by its first letters", "", groupForm},
	{"a", "align", "A", "where he lined up; what was carried on is replaced", RepsPass, groupForm},
	{"d", "side", "D", "the side he is on", RepsPass, groupForm},
	{"q", "blocker", "Q", "who blocks him, by number", RepsPass, groupForm},
	{"h", "hands", "H", "the blocker's hands", RepsPass, groupForm},
	{"e", "help", "E", "the blocker's help", RepsPass, groupForm},
	{"v", "saw", "V", "what he could see in the blocker", RepsPass, groupForm},
	{"w", "note", "W", "note to the player", RepsPass, groupForm},
	{"m", "point", "M", "point to teach", RepsPass, groupForm},
	{"+", "play", "+", "a new play, by its number", PlaysPass, groupForm},

	{"n", "next", "N", "the next thing that is not marked", "", groupGo},
	{"PageDown", "play on", "Page Down", "the next play", "", groupGo},
	{"PageUp", "play back", "Page Up", "the play before", "", groupGo},
	{"]", "rep on", "]", "the next rep of the play", RepsPass, groupGo},
	{"[", "rep back", "[", "the rep before", RepsPass, groupGo},
	{"P", "plays", "Shift P", "first pass: plays", "", groupGo},
	{"R", "reps", "Shift R", "second pass: reps", "", groupGo},

	{"u", "undo", "U", "undo the last change", "", groupBack},
	{"U", "redo", "Shift U", "redo it", "", groupBack},
	{"x", "clear", "X", "clear: then the key of a mark, or X for the whole rep or play", "", groupBack},
	{"?", "keys", "?", "this list", "", groupBack},

	{" ", "film play", "Space", "play or stop", "", groupFilm},
	{"ArrowRight", "film on", "→", "a frame on; with Shift ten", "", groupFilm},
	{"ArrowLeft", "film back", "←", "a frame back; with Shift ten", "", groupFilm},
	{",", "film slower", ",", "slower", "", groupFilm},
	{".", "film faster", ".", "faster", "", groupFilm},
	{"Home", "film in", "Home", "to where the play begins", "", groupFilm},
	{"End", "film snap", "End", "to the snap", "", groupFilm},
	{"\\", "film loop", "\\", "loop the play, or not", "", groupFilm},
	{"/", "film angle", "/", "the other angle large", "", groupFilm},
}

// FormKeys is what keys do in an open field, for the list of keys.
var FormKeys = []Key{
	{"", "", "letters", "the word that begins so; it is taken once nothing else is meant", "", "In a field"},
	{"", "", "Enter", "take what is picked; with nothing typed, leave the field and go on", "", "In a field"},
	{"", "", "↑ ↓", "pick another", "", "In a field"},
	{"", "", ">", "another move after the last", "", "In a field"},
	{"", "", "/", "in a move: its path, where it is not the usual one", "", "In a field"},
	{"", "", "=", "the same as the last time", "", "In a field"},
	{"", "", "-", "clear the field", "", "In a field"},
	{"", "", ";", "another field, by its first letters", "", "In a field"},
	{"", "", "Shift and a letter", "what the letter does while the film is watched: a mark, or another field", "", "In a field"},
	{"", "", "Esc", "back to the film", "", "In a field"},
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
	for _, k := range Keys {
		if k.Key == key && (k.Pass == "" || k.Pass == f.Pass) {
			return f.command(k.Do)
		}
	}
	return nil // such as a key that nothing listens to
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

// clearKey is the key after X.
func (f *form) clearKey(key string) error {
	f.close()
	if key == "x" {
		if f.Pass == RepsPass && f.Rep == "" {
			return errors.New("choose a rep first")
		}
		return f.do(Edit{Verb: Remove, Play: f.Play, Rep: f.rep()})
	}
	for _, k := range Keys {
		mark, ok := strings.CutPrefix(k.Do, "mark ")
		switch {
		case k.Key != key || !ok:
		case mark == "in" || mark == "out" || mark == string(tags.Snap):
			return f.set(Field("angles."+f.at.Angle+"."+mark), "")
		case mark == string(tags.Release):
			was, _ := f.look.Value(f.Play, "", "marks.release")
			return f.do(Edit{Verb: Set, Play: f.Play, Field: "marks.release", Was: was})
		default:
			return f.set(Field("marks."+mark), "")
		}
	}
	return nil
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
	return f.do(Spotted(f.look, f.Play, f.Rep, f.at.Angle, x, y)...)
}
