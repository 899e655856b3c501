package share

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// folded is a text as it is compared: without case, accents, invisible letters and
// punctuation, so that no way of writing a name hides it.
type folded struct {
	words  string // " ike okafor55 ", one space between words and around them
	split  string // the same, words broken where FirstLast and last91 are joined
	joined string // all letters and digits, one after the other
}

// fold compares look-alike letters as the same and takes apostrophes out, except before the
// s of a genitive.
func fold(text string) folded {
	letters := []rune(norm.NFKD.String(text))
	var words, split, joined strings.Builder
	words.Grow(len(letters) + 2)
	split.Grow(len(letters) + 8)
	words.WriteByte(' ')
	split.WriteByte(' ')
	var last rune // the letter before, as written; 0 where there is none
	gap := true
	space := func() {
		if !gap {
			words.WriteByte(' ')
			split.WriteByte(' ')
		}
		gap, last = true, 0
	}
	for i, r := range letters {
		switch {
		case unseen(r):
		case strings.ContainsRune(apostrophes, r):
			if i+1 < len(letters) && unicode.ToLower(letters[i+1]) == 's' && (i+2 == len(letters) || !unicode.IsLetter(letters[i+2])) {
				space()
			}
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			space()
		default:
			if last != 0 && (unicode.IsLower(last) && unicode.IsUpper(r) || unicode.IsDigit(last) != unicode.IsDigit(r)) {
				split.WriteByte(' ')
			}
			last, gap = r, false
			plain := lookAlike(r)
			words.WriteString(plain)
			split.WriteString(plain)
			joined.WriteString(plain)
		}
	}
	space()
	return folded{words.String(), split.String(), joined.String()}
}

// apostrophes stand within names, in whatever form a keyboard or a program makes them.
const apostrophes = "'’‘‛`´ʹʻʼʽˈ′＇ꞌ"

// unseen reports whether a letter is not seen: accents, which composed letters have within,
// soft hyphens, what has no width or turns the direction of writing, and fillers.
func unseen(r rune) bool {
	return unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) || strings.ContainsRune("\u115f\u1160\u3164\uffa0", r)
}

// lookAlikes are letters that look like Latin ones, and Latin ones that do not come apart
// into a letter and an accent. Unicode Technical Standard 39 has a table of all; these are
// the ones that stand in names on keyboards in use.
var lookAlikes = func() map[rune]string {
	m := map[rune]string{
		'ß': "ss", 'æ': "ae", 'œ': "oe", 'ø': "o", 'đ': "d", 'ð': "d", 'ł': "l", 'ħ': "h", 'ı': "i", 'þ': "th", 'ŋ': "n", 'ſ': "s", 'ɡ': "g", 'ŧ': "t",
	}
	pairs := []rune("аaеeоoрpсcуyхxіiјjѕsкkмmтtвbнhԁdԛqԝwһhӏlαaεeοoρpτtυuνvκkιiγyχxηn")
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = string(pairs[i+1])
	}
	return m
}()

// lookAlike is a letter in lower case, in Latin where it looks so.
func lookAlike(r rune) string {
	r = unicode.ToLower(r)
	if r < 0x80 {
		return string(r)
	}
	if s, ok := lookAlikes[r]; ok {
		return s
	}
	return string(r)
}
