package tags

import "strings"

// Either is words as a choice: "a", "a or b", "a, b or c".
func Either(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
