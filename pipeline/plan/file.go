package plan

import (
	"strings"
	"unicode"
)

// FileName is a title as a file name: letters and digits in lower case, words joined by
// hyphens, sixty letters at most.
func FileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.Join(words, "-")
	if name == "" {
		return "reel"
	}
	if runes := []rune(name); len(runes) > 60 {
		name = string(runes[:60])
	}
	return name
}
