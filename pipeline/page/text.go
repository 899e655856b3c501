package page

import (
	"fmt"
	"strings"
	"unicode"

	"trenchcut/tags"
)

// plain is text of one line without the signs that only steer: names come from anywhere,
// and one that turns the direction of writing would turn all that follows.
func plain(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.In(r, unicode.Cc, unicode.Cf):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

func plains(lines []string) []string {
	var out []string
	for _, l := range lines {
		if l = plain(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// Clock is a time to the second, as a player shows it: 1:07, 1:02:03.
func Clock(t tags.Time) string {
	s := int64(t / tags.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
