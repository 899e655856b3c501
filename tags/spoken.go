package tags

import "strings"

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
