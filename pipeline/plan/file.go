package plan

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"trenchcut/tags/files"
)

// FileName is a title as a file name that every system takes: letters and digits in lower case,
// words joined by hyphens, sixty letters at most. What Windows takes for a device ends in a
// hyphen.
func FileName(title string) string {
	words := strings.FieldsFunc(strings.ToLower(norm.NFC.String(title)), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.Join(words, "-")
	if name == "" {
		return "reel"
	}
	if runes := []rune(name); len(runes) > 60 {
		name = string(runes[:60])
	}
	if files.Reserved(name) {
		name += "-"
	}
	return name
}
