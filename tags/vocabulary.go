package tags

import (
	"slices"
	"strings"
)

// Word is one entry of a vocabulary list.
type Word struct {
	Pos    Pos
	Name   string
	Also   []string // aliases, read as Name
	Family string   // of a move: power, speed, hands or change
	Path   string   // of a move: the path it usually takes
	Label  string   // how it is shown, where that is not its name with spaces
	What   string   // of a move: what it is, in words for a slate
	Fix    string   // of a move: what to put right first where it did not win
	Drills []string // of a move: what it is practised by
	// Common says that Drills are the program's own, which are common practice, and no
	// staff's.
	Common bool
	// Of an outcome, and of what he did: "yes" where it counts as pressure, or as a sack,
	// which is pressure too; "no" where a staff says it does not; empty where nobody says.
	Pressure, Sack string
	Pass, Run      string // of a type of play: "yes" where it is one
	Apart          string // of a penalty: "yes" where its rep is in no rate
	Given          string // of a credit: "yes" where the pressure was given to him
	TwoMen         string // of a block: "yes" where two blockers make it on one man
	Counter        string // of a move: "yes" or "no" where a staff says whether it is a counter by itself
	first          string // its name before a staff's files gave it another
}

// names is the word's name and its aliases.
func (w Word) names() []string { return append([]string{w.Name}, w.Also...) }

// List is the words one key may hold, in the order the staff ranks them.
type List struct {
	Pos   Pos
	Key   string
	Words []Word
	index map[string]int // names and aliases
}

// Find is the word that text names, by its name or an alias.
func (l *List) Find(text string) (Word, bool) {
	if w := l.find(text); w != nil {
		return *w, true
	}
	return Word{}, false
}

// find is Find without a copy, or nil.
func (l *List) find(text string) *Word {
	if l == nil {
		return nil
	}
	i, ok := l.index[text]
	if !ok {
		return nil
	}
	return &l.Words[i]
}

// Read is the word that a person means by text: what Find finds or, where that is nothing,
// the one written in other letters, capital or small, or with other signs between its parts,
// or in the plural.
func (l *List) Read(text string) (Word, bool) {
	if w, ok := l.Find(text); ok {
		return w, true
	}
	if l == nil || text == "" {
		return Word{}, false
	}
	for _, said := range append([]string{text}, Singulars(text)...) {
		for _, w := range l.Words {
			if slices.ContainsFunc(w.names(), func(name string) bool { return foldWord(name) == foldWord(said) }) {
				return w, true
			}
		}
	}
	return Word{}, false
}

// foldWord is a word in small letters, with hyphens for other signs between its parts.
func foldWord(text string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '_' || r == '/' {
			return '-'
		}
		return r
	}, strings.ToLower(text))
}

// Singulars is what a word may be the plural of, in small letters; none where it is no plural. Of a word with
// hyphens the last part may be in the plural or the first: run-fits, tackles-for-loss.
func Singulars(word string) []string {
	var all []string
	if one, ok := singular(word); ok {
		all = append(all, one)
	}
	if first, rest, ok := strings.Cut(word, "-"); ok {
		if one, ok := singular(first); ok {
			all = append(all, one+"-"+rest)
		}
	}
	return all
}

func singular(word string) (string, bool) {
	word = strings.ToLower(word)
	hisses := func(stem string) bool {
		return slices.ContainsFunc([]string{"s", "sh", "ch", "x", "z"}, func(end string) bool { return strings.HasSuffix(stem, end) })
	}
	switch stem, es := strings.CutSuffix(word, "es"); {
	case len(word) < 4 || !strings.HasSuffix(word, "s") || strings.HasSuffix(word, "ss"):
		return "", false
	case es && strings.HasSuffix(stem, "i"):
		return strings.TrimSuffix(stem, "i") + "y", true
	case es && hisses(stem):
		return stem, true
	default:
		return strings.TrimSuffix(word, "s"), true
	}
}

// Rank is the place of a word in its list, from 0; unknown words come last.
func (l *List) Rank(name string) int {
	if i, ok := l.index[name]; ok {
		return i
	}
	return len(l.Words)
}

// Names is every name of the list, in order, without aliases.
func (l *List) Names() []string {
	names := make([]string, len(l.Words))
	for i, w := range l.Words {
		names[i] = w.Name
	}
	return names
}

// reindex makes names and aliases known after Words has changed.
func (l *List) reindex() {
	l.index = make(map[string]int, len(l.Words))
	for i, w := range l.Words {
		for _, name := range w.names() {
			l.index[name] = i
		}
	}
}

// Vocabulary is the words of a staff: one list a key, the named choices, the reads, and
// the time within which a blocker must be beaten.
type Vocabulary struct {
	Lists   map[string]*List
	Choices map[string]Choice
	Reads   []Read
	Limit   Time // beat in time: at most this long after the snap
	BallOut Time // a ball released sooner than this after the snap was out too soon for a rush
	// Distances is what counts as short and long on each down, 1 to 4; on 0, where a down
	// has none of its own.
	Distances [5]Distances
	Points    Points // production points; empty where there is no table
	Caution   string // what stands where technique is taught
	// Same is, by key of a play, the text that stands for each that means the same.
	Same map[string]map[string]string

	prices []price // what Points was made of
}

// List is the list of a key; a key that has none gives an empty list.
func (v *Vocabulary) List(key string) *List {
	if l, ok := v.Lists[key]; ok {
		return l
	}
	return &List{Key: key}
}

// Families is every family that a move has, in the order of the moves.
func (v *Vocabulary) Families() []string {
	var families []string
	for _, w := range v.List("move").Words {
		if w.Family != "" && !slices.Contains(families, w.Family) {
			families = append(families, w.Family)
		}
	}
	return families
}

// Label is how a word of a list is shown to a room.
func (v *Vocabulary) Label(key, name string) string {
	if w, ok := v.List(key).Find(name); ok && w.Label != "" {
		return w.Label
	}
	return Spoken(name)
}
