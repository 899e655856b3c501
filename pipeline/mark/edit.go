// Package mark is a game while it is being tagged: a [Document] over its tag file, and the
// form that follows the keys. An edit changes only the bytes it is about, is in the file once
// it is reported as done, and can be undone. What others write to the file meanwhile stays.
package mark

import (
	"cmp"
	"fmt"
	"strings"
)

// Edit is one change to a game, as a value that can be kept, undone and made again. It names
// a play by its number and a rep by its rusher's id, because both stay when a file is edited
// elsewhere.
type Edit struct {
	Verb Verb   `json:"verb"`
	Play int    `json:"play"`
	Rep  string `json:"rep,omitempty"` // empty for the play itself

	// Of Set: the field, what it held when it was looked at, and what it is to hold. Empty is
	// a field that is not tagged. Several values, as of moves, are on lines of their own.
	Field Field  `json:"field,omitempty"`
	Was   string `json:"was,omitempty"`
	Value string `json:"value,omitempty"`

	// Of Add: what the new play or rep says.
	Values []Value `json:"values,omitempty"`
	// Of Add: the text of a rep or play that was removed, so that it comes back as it was.
	Text string `json:"text,omitempty"`
}

// Verb is what an [Edit] does.
type Verb string

// The verbs of an edit.
const (
	Set    Verb = "set"    // one field of a play or rep
	Add    Verb = "add"    // a play or rep
	Remove Verb = "remove" // a play or rep
)

// Field is a field of a play or rep by the keys that lead to it: down, marks.getoff,
// angles.endzone.in, blocker.set, grade.technique.
type Field string

// Keys is the keys that lead to f.
func (f Field) Keys() []string { return strings.SplitN(string(f), ".", fieldDepth(f)) }

// fieldDepth is how many keys lead to f: a staff's own column may have a point in its name.
func fieldDepth(f Field) int {
	if strings.HasPrefix(string(f), "extra.") {
		return 2
	}
	return 3
}

// Value is what one field holds.
type Value struct {
	Field Field  `json:"field"`
	Text  string `json:"text"`
}

// A listSign stands between the values of a field that holds several.
const listSign = "\n"

// listed is several values as one.
func listed(values ...string) string { return strings.Join(values, listSign) }

// onOneLine is the value of a field of a play, or of a rep, with a comma between several, and a
// blank between the lines of a text.
func onOneLine(rep string, f Field, text string) string {
	if isText(rep, f) {
		return strings.Join(strings.Fields(text), " ")
	}
	return strings.ReplaceAll(text, listSign, ", ")
}

// where names what e is about in the room's words.
func (e Edit) where() string {
	if e.Rep == "" {
		return fmt.Sprintf("play %d", e.Play)
	}
	return fmt.Sprintf("%s in play %d", e.Rep, e.Play)
}

// String tells what e does in the room's words.
func (e Edit) String() string {
	name := e.Field.spokenOf(e.Rep)
	switch {
	case e.Verb == Add:
		return "add " + e.where()
	case e.Verb == Remove:
		return "remove " + e.where()
	case e.Value == "":
		return fmt.Sprintf("clear %s of %s", name, e.where())
	case e.Field == "draw":
		return fmt.Sprintf("drawing: %s, %s", spokenDrawings(e.Value), e.where())
	default:
		return fmt.Sprintf("%s %s, %s", name, onOneLine(e.Rep, e.Field, e.Value), e.where())
	}
}

// idle tells that e changes nothing.
func (e Edit) idle() string {
	if e.Value == "" {
		return fmt.Sprintf("nothing to clear: %s of %s is not tagged", e.Field.spokenOf(e.Rep), e.where())
	}
	return e.String() + ", as it was"
}

// spokenOf is f of a play, or of a rep, as a room says it.
func (f Field) spokenOf(rep string) string {
	if rep != "" && (f == "in" || f == "out") {
		return "own " + string(f)
	}
	return f.Spoken()
}

// Spoken is f as a room says it.
func (f Field) Spoken() string {
	keys := f.Keys()
	switch last := keys[len(keys)-1]; {
	case keys[0] == "angles" && len(keys) == 3:
		return last + " (" + keys[1] + ")"
	case keys[0] == "blocker" && last == "who":
		return "blocker"
	case keys[0] == "spot" && len(keys) == 2:
		return "spot (" + last + ")"
	default:
		return cmp.Or(spokenMarks[last], strings.ReplaceAll(last, "-", " "))
	}
}

var spokenMarks = map[string]string{"getoff": "get-off", "qb": "QB", "draw": "drawing"}

// ConflictError says that somebody else changed what an edit is about since it was looked at.
type ConflictError struct {
	Edit Edit
	Now  string // what the file says now
}

func (e *ConflictError) Error() string {
	if e.Edit.Verb != Set {
		return fmt.Sprintf("%s: somebody else changed it meanwhile; look again", e.Edit.where())
	}
	now := "is clear now"
	if e.Now != "" {
		now = "is " + onOneLine(e.Edit.Rep, e.Edit.Field, e.Now) + " now"
	}
	return fmt.Sprintf("%s of %s %s: somebody else changed it; look again", e.Edit.Field.Spoken(), e.Edit.where(), now)
}
