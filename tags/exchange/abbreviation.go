package exchange

import (
	"regexp"
	"slices"
	"strings"

	"trenchcut/tags"
)

// abbreviations is what sheets write for words of a list, by the key of the column and flattened
// (common practice). The vocabulary goes before: a staff's own word means what the staff says.
var abbreviations = map[string]map[string]string{
	"type": {
		"kor": "kickoff", "koret": "kickoff", "kickret": "kickoff", "koreturn": "kickoff", "kickoffret": "kickoff",
		"puntret": "punt", "puntrec": "punt",
	},
	"blitz":      {"y": "yes", "n": "no", "x": "yes"},
	"side":       {"l": "left", "lt": "left", "r": "right", "rt": "right"},
	"battle":     {"w": "won", "win": "won", "l": "lost", "loss": "lost", "t": "even", "tie": "even", "e": "even"},
	"assignment": grades, "technique": grades, "effort": grades,
	"outcome": {"qbhit": "hit", "qbhurry": "hurry", "qbsack": "sack"},
}

var grades = map[string]string{"+": "plus", "0": "zero", "-": "minus", "–": "minus"}

// technique is an alignment with its unit: 3t, 3-tech, 9 technique.
var technique = regexp.MustCompile(`(?i)^(\S+?)[ -]?(?:t|tech|technique)$`)

// word is the word of the vocabulary's list that a cell of a column means, be it abbreviated.
func (r *reader) word(key, list, text string) (tags.Word, bool) {
	return wordIn(r.vocabulary, key, list, text)
}

func wordIn(v *tags.Vocabulary, key, list, text string) (tags.Word, bool) {
	words := v.List(list)
	if w, ok := wordOf(words, text); ok {
		return w, true
	}
	if full, ok := abbreviations[key][flatten(text)]; ok {
		return wordOf(words, full)
	}
	if key != "align" {
		return tags.Word{}, false
	}
	if m := technique.FindStringSubmatch(text); m != nil {
		text = m[1]
	}
	if number, ok := strings.CutPrefix(strings.ToLower(text), "w"); ok {
		text = "wide-" + number
	}
	return wordOf(words, text)
}

// isDash reports whether a cell has but a dash, which says that there is nothing to say.
func isDash(text string) bool {
	return strings.Trim(text, "-–—") == "" || strings.EqualFold(text, "n/a")
}

// isNobody reports whether a cell that names somebody says that there is nobody.
func isNobody(text string) bool {
	return isDash(text) || slices.Contains([]string{"none", "nobody", "unknown", "tbd"}, flatten(text))
}

// says reports whether a dash in the column is an empty cell: it is among words, numbers and
// people, and not in text.
func (c column) says() bool {
	if c.key == keyDownDistance || c.key == keyRep || c.key == keyWords {
		return true
	}
	if _, minus := abbreviations[c.key]["-"]; minus {
		return false
	}
	if f, ok := repFieldOf(c.key); ok {
		return c.key != keyRusher && (f.field == nil || f.field.Kind != tags.KindText && f.field.Kind != tags.KindTexts)
	}
	f, ok := fieldOf(c.key)
	return ok && c.key != "play" && f.Kind != tags.KindText
}
