package plan

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"trenchcut/tags/files"
)

// FileName is a title as a file name that every system takes: letters and digits in lower case,
// signs as words, words joined by hyphens, sixty letters at most. What Windows takes for a device
// ends in a hyphen.
func FileName(title string) string {
	words := strings.FieldsFunc(signsAsWords(strings.ToLower(norm.NFC.String(title))), func(r rune) bool { return !inWord(r) })
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

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// signsAsWords is a text with its signs as words: yard line -35 and odd+ are not yard line 35 and
// odd. A hyphen is a sign before a number, and behind a word that no other is joined to.
func signsAsWords(text string) string {
	var out strings.Builder
	runes := []rune(text)
	for i, r := range runes {
		before := i > 0 && inWord(runes[i-1])
		after := i+1 < len(runes) && inWord(runes[i+1])
		switch {
		case r == '+':
			out.WriteString(" plus ")
		case r == '\u2212', r == '-' && before != after && (before || unicode.IsDigit(runes[i+1])):
			out.WriteString(" minus ")
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}
