package tags

import (
	"slices"
	"strings"
)

// WordFlag is a property of which a word of some lists may say yes or no, such as pressure.
type WordFlag struct {
	Name  string
	Lists []string // whose words may say it
	Doc   string
	at    func(*Word) *string // yes, no, or empty where nobody says
}

// WordFlags is every one of them.
var WordFlags = []WordFlag{
	{"pressure", []string{"outcome", "did"}, "it counts as pressure on the passer", func(w *Word) *string { return &w.Pressure }},
	{"sack", []string{"outcome", "did"}, "it counts as a sack, which is pressure too", func(w *Word) *string { return &w.Sack }},
	{"pass", []string{"type"}, "the offense means to pass, so that a rush of the passer can be counted", func(w *Word) *string { return &w.Pass }},
	{"run", []string{"type"}, "the offense runs the ball", func(w *Word) *string { return &w.Run }},
	{"apart", []string{"penalty"}, "a rep with this penalty is in no rate", func(w *Word) *string { return &w.Apart }},
	{"given", []string{"credit"}, "pressure with this credit was given to him, and he did not win it", func(w *Word) *string { return &w.Given }},
	{"two-men", []string{"block"}, "two blockers make the block on one man", func(w *Word) *string { return &w.TwoMen }},
	{"counter", []string{"move"}, "the move is a counter by itself where it ends inside", func(w *Word) *string { return &w.Counter }},
}

// says reports whether the word of a list says yes of itself, by what of reads of it.
func (v *Vocabulary) says(list, word string, of func(*Word) string) bool {
	w := v.List(list).find(word)
	return w != nil && of(w) == "yes"
}

// pressure is what a word says of pressure, which a sack is too.
func (w *Word) pressure() string {
	if w.Sack == "yes" {
		return "yes"
	}
	return w.Pressure
}

// IsPressure reports whether a word of an outcome, or of what he did, counts as pressure.
func (w Word) IsPressure() bool { return w.pressure() == "yes" }

// Said is what w has under a key of a vocabulary; empty where it has nothing.
func (w Word) Said(key string) string {
	switch key {
	case "family":
		return w.Family
	case "path":
		return w.Path
	case "label":
		return w.Label
	case "what":
		return w.What
	case "fix":
		return w.Fix
	case "drills":
		return strings.Join(w.Drills, ", ")
	case "pressure":
		return w.pressure()
	}
	for _, f := range WordFlags {
		if f.Name == key {
			return *f.at(&w)
		}
	}
	return ""
}

// checkFlags finds what a word of the list key says that it cannot.
func (w *Word) checkFlags(key string) Faults {
	var fs Faults
	for _, f := range WordFlags {
		if *f.at(w) != "" && !slices.Contains(f.Lists, key) {
			fs.Add(w.Pos, "%s %s: %s is for words of %s", key, w.Name, f.Name, strings.Join(f.Lists, " or "))
		}
	}
	if w.Sack == "yes" && w.Pressure == "no" {
		fs.Add(w.Pos, "%s %s is a sack, and a sack is pressure", key, w.Name)
	}
	return fs
}
