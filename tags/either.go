package tags

import "strings"

// Either is words as a choice: "a", "a or b", "a, b or c".
func Either(words []string) string { return joinedBy(words, "or") }

// Both is words together: "a", "a and b", "a, b and c".
func Both(words []string) string { return joinedBy(words, "and") }

func joinedBy(words []string, between string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " " + between + " " + words[last]
}
