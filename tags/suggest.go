package tags

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostListed is how many known words a hint may list: every key of a rep, and no more.
const mostListed = 40

// DidYouMean names the known word nearest to a mistyped one, as a hint, or lists the
// known words where none is near and they are few.
func DidYouMean(word string, known []string) string {
	if near, ok := Nearest(word, known); ok {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return wantOneOf(known)
}

// wantOneOf lists the known words, as a hint, where they are few.
func wantOneOf(known []string) string {
	if len(known) == 0 || len(known) > mostListed {
		return ""
	}
	return "want one of " + strings.Join(known, ", ")
}

// DidYouMean is what was probably meant by a word that the list of a key does not hold, as
// a hint. A word of another list is not misspelt, so nothing is offered in its place.
func (v *Vocabulary) DidYouMean(key, text string) string {
	return v.didYouMean(text, key)
}

// didYouMean is DidYouMean for a word that may stand in any of several lists.
func (v *Vocabulary) didYouMean(text string, keys ...string) string {
	for _, other := range slices.Sorted(maps.Keys(v.Lists)) {
		if _, ok := v.Lists[other].Read(text); ok && !slices.Contains(keys, other) {
			return fmt.Sprintf("%q is a word of %s", text, other)
		}
	}
	var names, known []string
	meant := map[string]string{}
	for _, key := range keys {
		list := v.List(key)
		names = append(names, list.Names()...)
		for _, w := range list.Words {
			for _, name := range w.names() {
				known = append(known, name)
				if name != w.Name {
					meant[name] = w.Name
				}
			}
		}
	}
	near, ok := Nearest(text, known)
	switch {
	case !ok:
		return wantOneOf(names)
	case meant[near] != "" && !slices.Contains(names, near):
		return fmt.Sprintf("did you mean %q, which is %s?", near, meant[near])
	default:
		return fmt.Sprintf("did you mean %q?", near)
	}
}

// Nearest is the known word nearest to a mistyped one; false where none is near. A number
// is never taken for another, nor a word of the trade for another word.
func Nearest(word string, known []string) (string, bool) {
	if slices.Contains(tradeWords, strings.ToLower(word)) {
		return "", false
	}
	best, least := "", mostSlips(word)
	letters := utf8.RuneCountInString(word)
	for _, k := range known {
		n := utf8.RuneCountInString(k)
		if n > letters+least || n < letters-least || digits(word) != digits(k) {
			continue
		}
		d := distance(strings.ToLower(word), strings.ToLower(k))
		// A word of which half the letters would change is not misspelt but another word.
		if 2*d < max(len(word), len(k)) && d <= least && (best == "" || d < least) {
			best, least = k, d
		}
	}
	return best, best != ""
}

// mostSlips is how many slips a misspelt word may hold: of two slips in a short word there
// is as often another word.
func mostSlips(word string) int {
	switch n := utf8.RuneCountInString(word); {
	case n <= 5:
		return 1
	case n <= 8:
		return 2
	default:
		return 3
	}
}

// tradeWords is words that a room says and no list of the vocabulary has, so that none of
// them is taken for a word that looks like it.
var tradeWords = []string{
	"bail", "bash", "bend", "burst", "cage", "cloud", "crash", "dash", "dog", "fire", "flare",
	"flash", "flip", "grab", "hook", "hop", "hump", "jab", "jam", "jerk", "jolt", "juke", "lift",
	"mug", "peel", "pick", "pinch", "press", "punch", "push", "ride", "robot", "rub", "seal",
	"shed", "shimmy", "skate", "sky", "slam", "slant", "slap", "slip", "spill", "squat",
	"squeeze", "stab", "stack", "stand", "steer", "strike", "sugar", "swat", "tug",
	"walk", "walk-around", "whip", "wrap", "yank",
}

// digits is the digits of a word, in order.
func digits(word string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return r
		}
		return -1
	}, word)
}

// distance is the optimal string alignment distance: the fewest letters put in, left
// out, changed, or swapped with their neighbour.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > 64 || len(t) > 64 {
		return len(s) + len(t)
	}
	rows := make([][]int, len(s)+1)
	for i := range rows {
		rows[i] = make([]int, len(t)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(s)][len(t)]
}
