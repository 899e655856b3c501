package tags

import (
	"cmp"
	"strconv"
)

// Field is one plain key of a play or a rep: T is [Play] or [Rep]. [PlayFields] and
// [RepFields] are the register of all of them, from which come the reading of tag files
// and their cache, the schema, the facts that can be asked about, the columns of play
// sheets, the texts of labels and the keys of a table of points.
type Field[T any] struct {
	Name string // what terms call it: missed-assignment
	Kind Kind
	Doc  string // what it says, in a few words

	// Key is the field's key in the tag file, and Under the mapping of the rep that it
	// stands in, such as blocker. An empty Key is Name; an empty Under is the play or rep.
	Key, Under string

	List        string // the vocabulary's list of a KindWord or KindWords; empty is Name
	Least, Most int    // the bounds of a KindWhole

	Headings string // further headings of the column of a play sheet, as small letters with spaces between
	Label    string // how labels say it, such as "%s hash"; empty where they do not
	OneLine  bool   // the one-line form of a rep may hold it
	Result   bool   // it tells how the rush ended, or what the staff said of it afterwards
	Priced   bool   // production points may be given for it
	Wanted   bool   // a game in which no play says it is worth a warning

	// Absent is the value that says there was none of it, which a game's assume may let
	// stand where nothing is tagged; empty where the field has no such value.
	Absent string

	// At points to the value in x, whose type is that of Kind.
	At func(x *T) any
}

// Kind is what sort of value a field has.
type Kind int

// The kinds of a field, and the type that At points to. The zero value of each is a field
// that is not tagged.
const (
	KindWord   Kind = iota // string: a word of the vocabulary
	KindText               // string: any text
	KindClock              // string: what is left of the quarter, as written: 11:32
	KindWhole              // *int, or int where every play has one
	KindYesNo              // string: yes or no
	KindPerson             // *Person, whom the file names by id
	KindWords              // []string: words of the vocabulary
	KindTexts              // []string: any texts
)

// FileKey is the field's key in the tag file.
func (f *Field[T]) FileKey() string { return cmp.Or(f.Key, f.Name) }

// WordList is the vocabulary's list that the field's words stand in; empty where any text
// may stand.
func (f *Field[T]) WordList() string {
	if f.Kind != KindWord && f.Kind != KindWords {
		return ""
	}
	return cmp.Or(f.List, f.Name)
}

// Text is the field of x as a tag file writes it: a whole number in digits, a person by
// id. It is empty where the field is not tagged, and for a list.
func (f *Field[T]) Text(x *T) string {
	switch at := f.At(x).(type) {
	case *string:
		return *at
	case *int:
		return strconv.Itoa(*at)
	case **int:
		if *at != nil {
			return strconv.Itoa(**at)
		}
	case **Person:
		if *at != nil {
			return (*at).ID
		}
	}
	return ""
}

// PlayKeysBefore is the keys of a play that stand before key in a tag file.
func PlayKeysBefore(key string) []string {
	var keys []string
	for _, f := range PlayFields {
		if f.FileKey() == key {
			return keys
		}
		keys = append(keys, f.FileKey())
	}
	for _, k := range []string{"extra", "in", "out", "angles", "marks"} {
		if k == key {
			break
		}
		keys = append(keys, k)
	}
	return keys
}
