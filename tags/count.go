package tags

import "strconv"

// Count is a number of things in words: "1 play", "3 plays".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
