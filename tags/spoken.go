package tags

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// NotTagged is what a room reads where a fact is not known.
const NotTagged = "not tagged"

// abbreviations is the parts of names that a room writes in capitals.
var abbreviations = map[string]string{"qb": "QB", "te": "TE", "rb": "RB", "rpo": "RPO"}

// Spoken is a name of this program's as a room writes it: chip-te is chip TE.
func Spoken(name string) string {
	words := strings.Split(name, "-")
	for i, w := range words {
		if capitals, ok := abbreviations[w]; ok {
			words[i] = capitals
		}
	}
	return strings.Join(words, " ")
}

// Capital is text with a capital at its start.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + text[size:]
}
